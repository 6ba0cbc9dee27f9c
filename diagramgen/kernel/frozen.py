"""A dictionary that stays as it is, for results that are handed out."""

from __future__ import annotations

from typing import Any, NoReturn, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class FrozenDict(dict[Key, Value]):
    """A dictionary of which nothing is changed; ``dict(...)`` of it may be. It copies, compares and pickles as one."""

    def _refuse(self, *_: Any, **__: Any) -> NoReturn:
        raise TypeError("this is a result and stays as it is: change a copy of it, dict(...)")

    __setitem__ = __delitem__ = __ior__ = _refuse
    clear = pop = popitem = setdefault = update = _refuse

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)

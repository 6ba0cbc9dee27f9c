"""Work in processes of its own: what takes too long or dies loses only itself."""

from __future__ import annotations

import os
import signal
import time

import pytest

from diagramgen.features.shop.workers import Lost, each


def told(task: str) -> str:
    """``sleep`` never ends, ``die`` is ended as by a full memory, ``fail`` has a fault; all else is done."""
    if task.startswith("sleep"):
        time.sleep(1000)
    if task.startswith("die"):
        os.kill(os.getpid(), signal.SIGKILL)
    if task.startswith("fail"):
        raise SystemExit(3)
    return task.upper()


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_one_that_never_ends_and_one_that_is_killed_lose_only_themselves() -> None:
    begun: list[str] = []
    # The time to begin a process counts too: on a busy machine that is seconds.
    done = dict(each(told, ["a", "sleep", "b", "die", "fail", "c"], 2, 12, begun.append))
    assert done == {"a": "A", "sleep": Lost(late=True), "b": "B", "die": Lost(late=False), "fail": Lost(late=False),
                    "c": "C"}
    assert begun == ["a", "sleep", "b", "die", "fail", "c"]


def test_without_a_limit_one_worker_is_this_process() -> None:
    assert list(each(os.path.basename, ["x/a", "x/b"], 1, 0)) == [("x/a", "a"), ("x/b", "b")]
    assert list(each(_process, ["a"], 1, 0)) == [("a", os.getpid())]
    ((_, other),) = each(_process, ["a"], 2, 0)
    assert other != os.getpid()


def test_no_process_is_left_when_it_is_given_up() -> None:
    work = each(_process, list("abcdef"), 2, 60)
    numbers = {next(work)[1], next(work)[1]}
    work.close()
    for number in numbers:
        with pytest.raises(ProcessLookupError):
            os.kill(number, 0)


def _process(_: str) -> int:
    return os.getpid()

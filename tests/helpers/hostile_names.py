"""Names that would break out of a page, a script or a template if anything took them for more than a name."""

from __future__ import annotations

HOSTILE = [
    "</script><script>alert(1)</script>\"'<img src=x onerror=alert(1)>]]>",
    "\" onclick=\"alert(1)\" x='",
    "' onclick='alert(1)",
    "`onclick=alert(1)`",
    "&lt;b&gt; &amp; &#60;b&#62; &quot;",
    "{{ 7 * 7 }}{% for x in y %}{# gone #}",
    "}}{{ shown.checksum }}{% endblock %}{%- raw -%}",
    "first line\n  second line\r\n\tthird",
    "\u202eright to left\u2066 kept apart\u2069 \u200f\u200emarks\u202c",
    "</title></style></textarea><!-- <b>",
    "no\0thing\x1b[31m to \x7f hold",
]


def as_shown(name: str) -> str:
    """What a page shows of a name: line ends as spaces, what no file may hold as U+FFFD, all else as it is."""
    return "".join(" " if c in "\t\n\r" else "\ufffd" if c < " " or "\x7f" <= c <= "\x9f" else c for c in name)

"""How one text stands in YAML: plain where nothing could misread it, else in double quotes."""

from __future__ import annotations

import re
from typing import Final, Self

import yaml

__all__ = ["Figure", "key_text", "plain_or_quoted", "quoted", "stands_unescaped"]


class Figure(str):
    """A text that is a number or a truth value, and stands without quotes."""

    __slots__ = ()

    def __new__(cls, value: object) -> Self:
        """Take the figure as it prints."""
        return super().__new__(cls, str(value))


#: What begins a plain text with another meaning.
_INDICATORS: Final = "-?:,[]{}#&*!|>'\"%@`=~"
#: What an editor would take for a number, a truth value or nothing (YAML 1.2 core schema), or for a merge key.
_OTHER_TYPE: Final = re.compile(
    r"^([-+]?(\.\d+|\d+(\.\d*)?)([eE][-+]?\d+)?|0o[0-7]+|0x[0-9a-fA-F]+|[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)"
    r"|true|True|TRUE|false|False|FALSE|null|Null|NULL|<<)$"
)
_SHORT: Final = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}
_BREAKS: Final = "\x85\u2028\u2029\ufeff"


def plain_or_quoted(text: str, *, flow: bool = False) -> str:
    """A text as a value; inside brackets (`flow`) fewer texts may stand plain."""
    return text if _is_plain(text, flow=flow) else quoted(text)


def key_text(key: str, *, flow: bool = False) -> str:
    """A text as a key."""
    return plain_or_quoted(key, flow=flow)


def quoted(text: str) -> str:
    """A text in double quotes, with everything escaped that a reader would not take as it is."""
    return '"' + "".join(map(_sign, text)) + '"'


def stands_unescaped(text: str) -> bool:
    """Whether a text can stand without quotes or folded: no sign of it is lost or misread outside quotes."""
    return all(sign in '"\\' or _sign(sign) == sign for sign in text)


def _sign(sign: str) -> str:
    if sign in _SHORT:
        return _SHORT[sign]
    if sign in _BREAKS or (sign != " " and sign.isspace()) or yaml.reader.Reader.NON_PRINTABLE.match(sign):
        code = ord(sign)
        return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
    return sign


def _is_plain(text: str, *, flow: bool) -> bool:
    if not text or text != text.strip() or _OTHER_TYPE.match(text):
        return False
    if text[0] in _INDICATORS or not stands_unescaped(text):
        return False
    if ": " in text or " #" in text or text.endswith(":"):
        return False
    return not (flow and any(sign in ",[]{}:?" for sign in text))

"""Where the static files of the face stand, and the address under which a page asks for one.

The address carries a hash of the content, so that a browser may keep a file for ever and still
sees a new one at once.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path, PurePosixPath

from countershaft.errors import Unknown

__all__ = ["asset_path", "asset_url", "static_dir", "templates_dir"]

_HASH_LENGTH = 12


def static_dir() -> Path:
    """Return the folder of the static files."""
    return Path(__file__).parent / "static"


def templates_dir() -> Path:
    """Return the folder of the templates."""
    return Path(__file__).parent / "templates"


def asset_path(name: str) -> Path:
    """Return the file of a static name; a name that leaves the folder or is not there is Unknown."""
    parts = PurePosixPath(name).parts
    path = static_dir().joinpath(*parts)
    if not parts or name.startswith("/") or ".." in parts or not path.is_file():
        raise Unknown(f"static file {name!r}: not in the package; expected a name such as 'tokens.css'.")
    return path


@cache
def asset_url(name: str) -> str:
    """Return the address of a static file with a hash of what it holds: `/static/tokens.css?v=…`."""
    digest = hashlib.sha256(asset_path(name).read_bytes()).hexdigest()
    return f"/static/{name}?v={digest[:_HASH_LENGTH]}"

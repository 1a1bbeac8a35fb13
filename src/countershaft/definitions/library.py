"""The invented transmission files that ship with the program."""

from __future__ import annotations

from importlib.resources import files

from countershaft.errors import Unknown

__all__ = ["library", "library_text"]

_SHELF = "library"


def library() -> tuple[str, ...]:
    """The names of the files that ship, sorted."""
    shelf = files("countershaft.definitions").joinpath(_SHELF)
    return tuple(sorted(one.name.removesuffix(".yaml") for one in shelf.iterdir() if one.name.endswith(".yaml")))


def library_text(name: str) -> str:
    """The text of one file that ships; raises Unknown."""
    if name not in library():
        raise Unknown(f"No transmission file {name!r} ships with countershaft; it has {', '.join(library())}.")
    return files("countershaft.definitions").joinpath(_SHELF, f"{name}.yaml").read_text(encoding="utf-8")

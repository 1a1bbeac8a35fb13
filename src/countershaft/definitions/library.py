"""The invented transmission files that ship with the program."""

from __future__ import annotations

from importlib.resources import files

from countershaft.errors import Unknown

__all__ = ["library", "library_text"]


def library() -> tuple[str, ...]:
    """Names of the files that ship, in order."""
    folder = files("countershaft.definitions") / "library"
    return tuple(sorted(entry.name.removesuffix(".yaml") for entry in folder.iterdir() if entry.name.endswith(".yaml")))


def library_text(name: str) -> str:
    """The text of one of them; raises Unknown."""
    if name not in library():
        raise Unknown(f"No file {name!r} ships with the program; there are {', '.join(library())}.")
    return (files("countershaft.definitions") / "library" / f"{name}.yaml").read_text(encoding="utf-8")

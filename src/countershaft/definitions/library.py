"""What ships with the program: the invented transmission files, and the JSON Schema of the format."""

from __future__ import annotations

from importlib.resources import files

from countershaft.errors import Unknown

__all__ = ["library", "library_text", "shipped_schema"]


def library() -> tuple[str, ...]:
    """The names of the files that ship, sorted."""
    shelf = files("countershaft.definitions").joinpath("library")
    return tuple(
        sorted(one.name.removesuffix(".yaml") for one in shelf.iterdir() if one.name.endswith(".yaml"))
    )


def library_text(name: str) -> str:
    """The text of one file that ships; raises Unknown."""
    if name not in library():
        raise Unknown(
            f"No transmission file {name!r} ships with countershaft; it has {', '.join(library())}."
        )
    return files("countershaft.definitions").joinpath("library", f"{name}.yaml").read_text(encoding="utf-8")


def shipped_schema() -> str:
    """The text of the JSON Schema; a test holds it to what the records give."""
    return files("countershaft.definitions").joinpath("schema.json").read_text(encoding="utf-8")

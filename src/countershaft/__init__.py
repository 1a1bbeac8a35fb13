"""countershaft: the bench's memory and its measuring brain for overhauling automatic transmissions."""

from __future__ import annotations

__all__ = ["__version__"]

__version__ = "0.1.0"

"""Programs that keep the repository honest; they are not part of the package."""

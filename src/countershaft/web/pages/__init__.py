"""Page records: everything that a template reads, rounded, with its unit, as text, before the template sees it."""

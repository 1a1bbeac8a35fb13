"""The pages: a thin shell of routes, templates and style sheets over the desk."""

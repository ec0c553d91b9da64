"""The terminal front end: what stands on the screen and what the keys do. Only this package knows Textual."""

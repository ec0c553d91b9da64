"""The screens, one subject a file."""

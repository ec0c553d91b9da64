"""What the crew does, one use case a function: each gives the entries to write, nothing is written here."""

from __future__ import annotations

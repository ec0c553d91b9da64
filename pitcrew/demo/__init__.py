"""The demo: two invented robots through a rebuild and an event day, and the book built from them."""

from __future__ import annotations

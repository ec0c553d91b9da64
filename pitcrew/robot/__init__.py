"""What a robot is, what can be logged about it, and the records that travel."""

from __future__ import annotations

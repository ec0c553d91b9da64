"""Pitcrew: the bench book for combat-robot crews."""

from __future__ import annotations

__version__ = "0.1.0"

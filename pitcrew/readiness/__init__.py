"""The heart: what must still be checked, mended or weighed, and why. Pure: evidence in, standing out."""

from __future__ import annotations

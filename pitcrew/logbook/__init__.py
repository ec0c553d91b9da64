"""The logbook: one SQLite file that is only ever added to, and the only place that speaks SQL."""

from __future__ import annotations

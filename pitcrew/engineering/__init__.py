"""Engineering figures: pure sums in SI units, each result carrying the working behind it.

One subject a file. Floats in SI go in, frozen results come out; what lies outside the range a
formula is good for raises FigureError and never returns a number that looks fine.
"""

from __future__ import annotations

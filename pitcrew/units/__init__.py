"""Shop notation and quantities: what a person types becomes SI, and SI becomes what a person reads.

Light: nothing here loads pint until `registry` is called.
"""

from __future__ import annotations

from pitcrew.units.pint_units import PINT_UNITS, registry
from pitcrew.units.reading import Quantity, read
from pitcrew.units.showing import convert, show
from pitcrew.units.table import UNITS, Unit

__all__ = ["PINT_UNITS", "UNITS", "Quantity", "Unit", "convert", "read", "registry", "show"]

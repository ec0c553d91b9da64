"""Settings that every test shares."""

from __future__ import annotations

import gc
import os

from hypothesis import settings

# The whole suite stays under three minutes; PITCREW_EXAMPLES asks for more of what says no number of its own, and for
# more random books than the few that one run looks at (tests/readiness/test_laws.py); the marked long runs try most.
EXAMPLES = int(os.environ.get("PITCREW_EXAMPLES", "40"))
settings.register_profile("default", deadline=None, max_examples=EXAMPLES)
settings.register_profile("ci", deadline=None, max_examples=EXAMPLES, derandomize=True, database=None, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "default")

# Whole standings are kept by many tests: looking through all of them over and over takes longer than the tests do.
gc.set_threshold(50_000, 50, 100)

"""A small robot's book for each test, and the demo's for all of them."""

from __future__ import annotations

import gc
from collections.abc import Iterator

import pytest

from pitcrew.bench.standing import View
from tests.bench.demo_day import DemoDay
from tests.bench.shop import Shop


@pytest.fixture
def shop() -> Iterator[Shop]:
    shop = Shop()
    yield shop
    shop.book.close()


@pytest.fixture(scope="session")
def demo() -> Iterator[DemoDay]:
    demo = DemoDay()
    yield demo
    demo.book.close()


@pytest.fixture(scope="session")
def views(demo: DemoDay) -> list[View]:
    """Both robots at every minute of the event day in which their log was written, and every seventh besides."""
    # Everything looked at is kept, so that collecting garbage meanwhile finds none and takes as long as judging.
    gc.disable()
    try:
        return list(demo.views())
    finally:
        # They stay to the end: no later collection needs to look through them again.
        gc.freeze()
        gc.enable()

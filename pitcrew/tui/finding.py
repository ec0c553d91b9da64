"""Where a letter of the go strip or a thing's name leads: the screen, made when it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from pitcrew.bench.session import Session
from pitcrew.tui.page import Page

# Imported when first shown, so that the way to the first screen stays short.
PLACES: dict[str, tuple[str, str]] = {
    "h": ("home", "Home"),
    "f": ("fights", "Fights"),
    "a": ("turnaround", "Turnaround"),
    "s": ("stacks", "Stacks"),
    "j": ("joints", "Joints"),
    "p": ("parts", "Parts"),
    "k": ("packs", "Packs"),
    "x": ("spares", "Spares"),
    "w": ("weight", "Weight"),
    "t": ("lanes", "Lanes"),
    "c": ("checks", "Checks"),
    "g": ("findings", "Findings"),
    "e": ("sheet", "Sheet"),
    "m": ("crew", "Crew"),
    "l": ("logbook", "Logbook"),
    "b": ("large", "Large"),
    "r": ("robots", "Robots"),
}
THINGS: dict[str, tuple[str, str]] = {
    "stack": ("stacks", "Run"),
    "joint": ("joints", "Joints"),
    "part": ("parts", "Parts"),
    "place": ("parts", "Parts"),
    "zone": ("parts", "Parts"),
    "pack set": ("packs", "Packs"),
    "stock": ("spares", "Spares"),
    "configuration": ("weight", "Weight"),
    "checklist": ("checks", "CheckRun"),
    "fight": ("fights", "Fights"),
    "entry": ("logbook", "Logbook"),
}


def _class(module: str, name: str) -> Callable[..., Page]:
    found: Callable[..., Page] = getattr(import_module(f"pitcrew.tui.pages.{module}"), name)
    return found


def place_page(session: Session, letter: str, below: Page | None = None) -> Page:
    """The screen of a place; `?` is the help for the screen below."""
    if letter == "?":
        return _class("help", "Help")(session, below)
    return _class(*PLACES[letter])(session)


def page_of(session: Session, sort: str, ident: str) -> Page | None:
    """The screen that shows one thing, with the keys at it; None for a sort that has no screen."""
    if sort not in THINGS:
        return None
    return _class(*THINGS[sort])(session, ident)

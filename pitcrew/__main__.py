"""Where the program starts: the command group, what its commands are given, and which of them want a screen."""

from __future__ import annotations

import sys
from pathlib import Path

import click

import pitcrew
from pitcrew.doorway import House, told
from pitcrew.errors import BookError

SHELL = ("standing", "worklist", "weights", "spares", "packs", "put", "log")
LOOKS = ("dark", "light", "16", "mono")
at_option = click.option("--at", metavar="TIME", default="15:24", show_default=True, help="The moment to start at.")
robot_option = click.option("--robot", help="Which robot to put on the bench.")
look_option = click.option(
    "--look", type=click.Choice(LOOKS), help="Colours; without it, what the terminal says of itself."
)


class Books(click.Group):
    """A group that takes a book's path where it knows no such command: that opens the book on the screen.

    The commands of the shell are loaded when one of them is asked for, so that the screen stands sooner.
    """

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """A command by its name."""
        found = super().get_command(context, name)
        return found or (_shell_commands()[name] if name in SHELL else None)

    def list_commands(self, context: click.Context) -> list[str]:
        """Every command, those with a screen first."""
        return [*self.commands, *SHELL]

    def resolve_command(
        self, context: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """A command by its name, else `open` for a path."""
        if args and not args[0].startswith("-") and self.get_command(context, args[0]) is None:
            return super().resolve_command(context, ["open", *args])
        return super().resolve_command(context, args)


def _shell_commands() -> dict[str, click.Command]:
    from pitcrew.cli import COMMANDS

    return {str(command.name): command for command in COMMANDS}


@click.group(cls=Books, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(pitcrew.__version__, prog_name="pitcrew")
@click.pass_context
def main(context: click.Context) -> None:
    """The bench book for combat-robot crews.

    What must still be checked, mended or weighed before the robot is fit to fight, and why. The event's rules,
    its inspectors and qualified people overrule what is said here.

    `pitcrew demo` tries it out on a book of our own; `pitcrew BOOK` opens yours.
    """
    context.obj = House()


def _show(house: House, path: Path, robot: str | None, look: str | None, title: str = "") -> None:
    from pitcrew.tui.start import show

    _terminal_wanted()
    raise SystemExit(show(path, house.clock, house.ids, robot, look, title))


def _terminal_wanted() -> None:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BookError("there is no terminal to show a screen on.", "Ask with: pitcrew standing BOOK.", "pitcrew")


def _leave_in_order() -> None:
    """Told to go before the screen stands, or after it, the program tidies up first as it does at any end."""
    import signal

    def leave(number: int, _: object) -> None:
        raise SystemExit(128 + number)

    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, leave)


@click.command()
@at_option
@robot_option
@look_option
@click.pass_obj
@told
def demo(house: House, at: str, robot: str | None, look: str | None) -> None:
    """Try it out: a scratch book of an invented event day, two minutes after a won fight, with the clock running.

    Nothing is kept: the book is thrown away at the end.
    """
    from pitcrew.demo.scratch import scratch

    _leave_in_order()
    with scratch(at=at) as book:
        _show(house._replace(clock=book.clock), book.path, robot, look, f"demo, {at}")


@click.command("open")
@click.argument("book", type=click.Path(path_type=Path, readable=False))
@robot_option
@look_option
@click.pass_obj
@told
def open_book(house: House, book: Path, robot: str | None, look: str | None) -> None:
    """Open a book on the screen; `pitcrew BOOK` does the same."""
    _show(house, book, robot, look)


@click.command("new")
@click.argument("book", type=click.Path(path_type=Path, readable=False))
@look_option
@click.pass_obj
@told
def new_book(house: House, book: Path, look: str | None) -> None:
    """Start a new book: a robot's name, its limit, its weapon, its weight list."""
    from pitcrew.tui.start import begin

    _terminal_wanted()
    raise SystemExit(begin(book, house.clock, house.ids, look))


for _command in (demo, open_book, new_book):
    main.add_command(_command)

if __name__ == "__main__":
    main()

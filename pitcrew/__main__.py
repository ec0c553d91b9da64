"""Where the program starts: the command group, and what its commands are given."""

from __future__ import annotations

import click

import pitcrew
from pitcrew.cli import COMMANDS, House


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(pitcrew.__version__, prog_name="pitcrew")
@click.pass_context
def main(context: click.Context) -> None:
    """The bench book for combat-robot crews.

    What must still be checked, mended or weighed before the robot is fit to fight, and why. The event's rules,
    its inspectors and qualified people overrule what is said here.
    """
    context.obj = House()


for _command in COMMANDS:
    main.add_command(_command)

if __name__ == "__main__":
    main()

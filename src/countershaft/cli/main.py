"""The commands, loaded only when they are called, and one place where an error becomes an exit code."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Final

import click

from countershaft import __version__
from countershaft.errors import CountershaftError

__all__ = ["cli", "main"]

#: Command -> module of this package, name in it, and the one line of help, so that --help loads none of them.
COMMANDS: Final[dict[str, tuple[str, str, str]]] = {
    "align": ("alignment", "align", "Judge a sweep of a converter housing: which way it must move, and why."),
    "bolt": ("bolt", "bolt", "Work out one bolt: preload of a torque, torque for a preload, wrench setting."),
    "check": ("define", "check", "Read a transmission file and say everything that is wrong with it."),
    "choose": ("choose", "choose", "Choose the selective parts of all fits together, with proof."),
    "compare": ("compare", "compare", "Judge a small study: who agrees with whom, and what measuring adds."),
    "converter": ("alignment", "converter", "Judge a converter's depth, gap and hub, and re-clock it."),
    "demo": ("demo", "demo", "Make a demo shop with five invented jobs and open it in the browser."),
    "fasteners": ("fasteners", "fasteners", "Check every joint of a file: torque, order, preload, mix-ups."),
    "fit": ("fit", "fit", "Say which selective part a fit needs, from its readings."),
    "form": ("form", "form", "Find flatness, runout and other forms from readings at places."),
    "identify": ("fasteners", "identify", "Put loose bolts to their places by what was measured."),
    "job": ("job", "job", "Open, list, show, continue and report jobs."),
    "plan": ("plan", "plan", "Print the order of work that takes least time, and why."),
    "schema": ("define", "schema", "Print the JSON Schema of the transmission file."),
    "serve": ("serve", "serve", "Open a shop's folder in the browser."),
    "shop": ("instruments", "shop", "List and calibrate the shop's instruments, and say how it decides."),
    "sum": ("sums", "sums", "Work out one bench sum: wear, leaks, windings, springs, press fits, seals."),
    "train": ("train", "train", "Print every gear of a transmission file: ratio and member speeds."),
}


class Lazy(click.Group):
    """A group that knows its commands' help without loading them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command by name."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command when it is called."""
        if cmd_name not in COMMANDS:
            return None
        module, name, _ = COMMANDS[cmd_name]
        found = getattr(import_module(f"countershaft.cli.{module}"), name)
        assert isinstance(found, click.Command), f"{module}.{name} is a command"
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, from the table above."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][2]) for name in sorted(COMMANDS)])


@click.group(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="countershaft")
def cli() -> None:
    """The whole job of overhauling an automatic transmission, from intake to hand-over.

    Follow the maker's service information, local codes and licensed practice: countershaft computes, the technician
    decides.
    """


def main() -> None:
    """Run a command; our own errors become one plain message and exit code 1, wrong use is 2."""
    try:
        cli(standalone_mode=True)
    except CountershaftError as error:
        click.echo(f"countershaft: {error}", err=True)
        sys.exit(1)

"""The command ``strandwright``: its commands, and the one mapping from errors to exit codes."""

from __future__ import annotations

import contextlib
import importlib
import os
import re
import sys
from typing import Any

import click

from strandwright import __version__
from strandwright.cli.told import told
from strandwright.errors import (
    InputError,
    InputErrors,
    SheetError,
    SolveError,
    StoreError,
    StrandwrightError,
)

#: Each command with its line in the help; its module is loaded when it is called.
COMMANDS = {
    "open": "Open the app in the browser; the same as no command at all.",
    "demo": "Plan a worked example and write its files into a folder.",
    "plan": "Plan the line of a job file, from post setting to proof.",
    "sheet": "Print the bench sheet of a job as a PDF.",
    "picture": "Draw the finished line over a tape as an SVG.",
    "check": "Check a job file without writing anything.",
    "hear": "Tell the load on a line from recordings of its pluck.",
    "set": "Plan all lines of a bow together.",
    "bow": "Work out the bow of a job: what touches, what turns do, speed.",
    "settling": "Say whether a finished line still moves on its bow.",
    "look-again": "Say which lines on bows are due to be looked at.",
    "spare": "Make the job of a matched spare from a finished build.",
    "choose": "Compare strands and strand counts for a job.",
    "tolerance": "Draw many builds of a job, and say how many come out.",
    "orders": "List what stands at the counter, or print a label.",
    "quote": "Price the lines of job files, as text and on paper.",
    "stock": "Say what lies on the shelf, and write down what became of it.",
    "queue": "Lay the jobs at hand out over benches, hands and hours.",
    "shop": "Say what finished builds have taught, and which are doubted.",
    "convert": "Carry a length from one load and pins to another.",
    "shorthand": "Read a line of start-stop shorthand and lay it out.",
    "schema": "Write the JSON Schema of the job file.",
    "export": "Write jobs and builds of the store as open files.",
    "import": "Keep job files and build files in the store.",
    "backup": "Write everything the store keeps into one file.",
    "restore": "Keep everything of a backup in an empty store.",
    "drill": "Restore a backup for trial, and say what that proves.",
    "csv": "Write everything the store keeps as CSV files.",
    "csv-import": "Look at a CSV list, and keep it in the store if asked to.",
    "builds-out": "Write builds without names, to compare shops.",
    "account": "Say who may sign in, and what they may do.",
    "certificate": "Make a certificate for listening beyond this computer.",
}

#: What ended badly, the exit code it gives. Wrong use of the command line itself also gives 2.
EXIT_CODES: tuple[tuple[type[StrandwrightError], int], ...] = (
    (InputError, 2),
    (InputErrors, 2),
    (SolveError, 3),
    (SheetError, 4),
    (StoreError, 5),
)
UNEXPECTED = 1
#: Options that can only be meant for ``open``.
OPEN_OPTIONS = (
    "--store", "--port", "--browser", "--no-browser", "--listen", "--certificate", "--key",
    "--bench",
)  # fmt: skip
_TYPED = "strandwright.typed"


class Commands(click.Group):
    """The group of commands; knows their names without loading them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give the names in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one command."""
        if cmd_name not in COMMANDS:
            return None
        module = cmd_name.replace("-", "_")
        return importlib.import_module(f"strandwright.cli.{module}").command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, so that help loads none of them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Keep what was typed, to show it whole where a value is taken for an option."""
        ctx.meta[_TYPED] = tuple(args)
        return super().parse_args(ctx, _with_open(args))

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; say what went wrong in plain words, and give the exit code."""
        try:
            return super().invoke(ctx)
        except StrandwrightError as error:
            click.echo(told(error), err=True)
            ctx.exit(exit_code(error))
        except click.NoSuchOption as error:
            value = _value_like_an_option(ctx.meta[_TYPED], error.option_name)
            if value is None:
                raise
            rule = "must not begin with a minus sign, or it is taken for an option"
            click.echo(told(InputError("argument", value, rule, "type it without")), err=True)
            ctx.exit(exit_code(InputError("", "", "", "")))
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except BrokenPipeError:
            raise
        except Exception as error:
            if _cannot_print(error):
                raise
            if ctx.params.get("traceback"):
                raise
            click.echo(_unexpected(error), err=True)
            ctx.exit(UNEXPECTED)


def _with_open(args: list[str]) -> list[str]:
    """Let the command be ``open`` where none is named: nothing typed, or only its options."""
    place = 1 if args[:1] == ["--traceback"] else 0
    rest = args[place:]
    if not rest or rest[0].startswith(OPEN_OPTIONS):
        return [*args[:place], "open", *rest]
    return args


def _value_like_an_option(typed: tuple[str, ...], option: str) -> str | None:
    """Find the value that was meant where a number with a minus sign is no option."""
    return next((t for t in typed if re.match(r"-[0-9.]", t) and t.startswith(option)), None)


def _cannot_print(error: BaseException) -> bool:
    """Tell a full disk behind the terminal from a fault: only open streams have no file name."""
    return isinstance(error, OSError) and error.filename is None


def exit_code(error: StrandwrightError) -> int:
    """Give the exit code of an error."""
    return next((code for kind, code in EXIT_CODES if isinstance(error, kind)), UNEXPECTED)


def _unexpected(error: Exception) -> str:
    said = f": {error}" if str(error) else ""
    return (
        f"strandwright stopped on a fault of its own, {type(error).__name__}{said}.\n"
        "Nothing half done was written. Run it again as 'strandwright --traceback ...' to see "
        "where, and report that with the job file."
    )


@click.group(
    name="strandwright",
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.version_option(__version__, prog_name="strandwright", message="%(prog)s %(version)s")
@click.option("--traceback", is_flag=True, help="Show where a fault of the program itself arose.")
def command(traceback: bool) -> None:
    """Plan, build, prove and log replacement bowstrings and cables.

    Without a command it opens the app in the browser.

    Lengths mean outside to outside over 1/4 in pins at 100 lbf, unless a job says otherwise.
    Start with 'strandwright demo'.
    """


def main() -> None:
    """Run the command line and leave with its exit code."""
    try:
        command.main(prog_name="strandwright")
    except OSError as error:
        if not _cannot_print(error):
            raise
        reason = (error.strerror or type(error).__name__).lower()
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.write(f"strandwright could not print all of it: {reason}\n")
            # What is still waiting would fail once more when Python ends.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(UNEXPECTED)

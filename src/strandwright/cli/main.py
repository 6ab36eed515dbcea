"""The command ``strandwright``: its commands, and the one mapping from errors to exit codes."""

from __future__ import annotations

import importlib
from typing import Any

import click

from strandwright import __version__
from strandwright.errors import InputError, InputErrors, SheetError, SolveError, StrandwrightError

#: Each command with its line in the help; its module is loaded when it is called.
COMMANDS = {
    "demo": "Plan a worked example and write its files into a folder.",
    "plan": "Plan the line of a job file, from post setting to proof.",
    "sheet": "Print the bench sheet of a job as a PDF.",
    "picture": "Draw the finished line over a tape as an SVG.",
    "check": "Check a job file without writing anything.",
    "choose": "Compare strands and strand counts for a job.",
    "convert": "Carry a length from one load and pins to another.",
    "shorthand": "Read a line of start-stop shorthand and lay it out.",
    "schema": "Write the JSON Schema of the job file.",
}

#: What ended badly, the exit code it gives. Wrong use of the command line itself also gives 2.
EXIT_CODES: tuple[tuple[type[StrandwrightError], int], ...] = (
    (InputError, 2),
    (InputErrors, 2),
    (SolveError, 3),
    (SheetError, 4),
)
UNEXPECTED = 1


class Commands(click.Group):
    """The group of commands; knows their names without loading them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Give the names in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load one command."""
        if cmd_name not in COMMANDS:
            return None
        return importlib.import_module(f"strandwright.cli.{cmd_name}").command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table, so that help loads none of them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; say what went wrong in plain words, and give the exit code."""
        try:
            return super().invoke(ctx)
        except StrandwrightError as error:
            click.echo(str(error), err=True)
            ctx.exit(exit_code(error))
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except BrokenPipeError:
            raise
        except Exception as error:
            if ctx.params.get("traceback"):
                raise
            click.echo(_unexpected(error), err=True)
            ctx.exit(UNEXPECTED)


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
    """Plan, check and draw replacement bowstrings and cables.

    Lengths mean outside to outside over 1/4 in pins at 100 lbf, unless a job says otherwise.
    Start with 'strandwright demo'.
    """


def main() -> None:
    """Run the command line and leave with its exit code."""
    command.main(prog_name="strandwright")

"""The command line: reads the project file, calls the work, and hands the design to a presenter.

Exit status: 0 every check passes, 1 a check fails (or the wall cannot be designed as described),
2 the input is wrong, 3 the program failed. Data goes to standard output, words about it to
standard error. Everything heavy is imported by the command that needs it.
"""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, NoReturn

import typer

from backstay.field_cli import field
from backstay.workbench.access.people_command import app as people
from backstay.workbench.serve_command import serve

if TYPE_CHECKING:
    from collections.abc import Iterable

    from backstay.checks import Check
    from backstay.design import Design, Part
    from backstay.errors import ProjectError
    from backstay.quantity import UnitSystem

PASSES, FAILS, WRONG_INPUT, PROGRAM_FAILED = 0, 1, 2, 3
_READER_GONE = 141
_DEBUG = "BACKSTAY_DEBUG"

app = typer.Typer(
    name="backstay",
    help="Design and check tied-back (anchored) walls from one project file.",
    epilog="Exit status: 0 every check passes, 1 a check fails, 2 the input is wrong, "
    "3 the program failed.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(field)
app.add_typer(people)

File = Annotated[Path, typer.Argument(metavar="FILE", help="Project file (YAML).")]
Units = Annotated[
    Literal["SI", "US"] | None,
    typer.Option("--units", metavar="SI|US", case_sensitive=False, help="Units to show; those of the file if not given."),
]  # fmt: skip


def main() -> NoReturn:
    """Run the command line and leave with its exit status."""
    from backstay.errors import BackstayError, DesignError, ProjectError

    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for some takes 10 ms
    for unused in ("scipy", "yaml"):  # numba would load them where they are: 110 ms
        sys.modules.setdefault(unused, None)  # type: ignore[arg-type]
    gc.disable()  # a command ends before objects in circles matter; looking for them takes 100 ms
    try:
        app(prog_name="backstay")
    except ProjectError as error:
        _say_faults(error)
        status = WRONG_INPUT
    except DesignError as error:
        what = "slope" if error.where.startswith("slope") else "wall"
        _say(f"The {what} cannot be designed as described: {error}")
        status = FAILS
    except BrokenPipeError:  # whoever was reading has enough
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
        status = _READER_GONE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        _say(f"{where}{error.strerror or error}")
        status = WRONG_INPUT
    except BackstayError as error:
        _say(str(error))
        status = PROGRAM_FAILED
    except KeyboardInterrupt:
        status = 130
    except Exception as error:
        if os.environ.get(_DEBUG):
            raise
        what = f"{type(error).__name__}: {error}".splitlines()[0]
        _say(f"This is a fault of the program, not of the project: {what}")
        _say(f"Set {_DEBUG}=1 and run it again to see where.")
        status = PROGRAM_FAILED
    else:  # pragma: no cover - the library always leaves by SystemExit
        status = PASSES
    finally:
        gc.freeze()  # as long again when the interpreter leaves
    sys.exit(status)


def _version(wanted: bool) -> None:
    if wanted:
        from backstay import __version__

        typer.echo(f"backstay {__version__}")
        raise typer.Exit


@app.callback()
def _backstay(
    version: Annotated[
        bool, typer.Option("--version", is_eager=True, callback=_version, help="Show the version.")
    ] = False,
) -> None:
    pass


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="[FILE]", help="File to write.")] = Path(
        "wall.yaml"
    ),
    units: Annotated[
        Literal["SI", "US"],
        typer.Option("--units", metavar="SI|US", case_sensitive=False, help="Unit system."),
    ] = "SI",
) -> None:
    """Write a commented project to begin with."""
    from backstay.files import atomic_create
    from backstay.model.starter import starter
    from backstay.quantity import UnitSystem

    try:
        atomic_create(file, starter(UnitSystem(units)).encode("utf-8"))
    except FileExistsError:
        _say(f"{file} is there already and is left as it is; name another file.")
        raise typer.Exit(WRONG_INPUT) from None
    _say(f"Wrote {file}. Change it to your wall, then: backstay check {file}")


@app.command()
def check(
    file: File,
    json: Annotated[bool, typer.Option("--json", help="Print the design as JSON instead.")] = False,
    curves: Annotated[
        bool, typer.Option("--curves", help="With --json: whole curves of every stage as well.")
    ] = False,
    units: Units = None,
) -> None:
    """Design the walls and slopes, and print one page to act on."""
    from backstay.errors import DesignError, ProjectError

    try:
        design = _design(file)
    except (ProjectError, DesignError) as error:
        if json:
            from backstay.terminal.refusal import refusal_json

            typer.echo(refusal_json(error))
        raise
    if json:
        from backstay.results import design_json

        typer.echo(design_json(design, _units(design, units), arrays=curves))
    else:
        from backstay.terminal import print_page

        print_page(design, _units(design, units))
    raise typer.Exit(FAILS if any(_failed(c) for _, c in design.checks) else PASSES)


@app.command()
def explain(
    check: Annotated[str, typer.Argument(metavar="CHECK", help="Name of a check, or words of it, or its identifier.")],
    file: File,
    where: Annotated[str, typer.Option("--where", help='Only there, e.g. "row 2".')] = "",
    section: Annotated[str, typer.Option("--section", help="Only in the section of this name.")] = "",
    slope: Annotated[str, typer.Option("--slope", help="Only in the slope of this name.")] = "",
    units: Units = None,
) -> None:  # fmt: skip
    """Print the whole derivation of one check."""
    from backstay.terminal import print_derivation

    design = _design(file)
    found = _named(design, check)
    for kind, name, parts in (
        ("section", section, design.sections),
        ("slope", slope, design.slopes),
    ):
        if name:
            found = [(s, c) for s, c in found if s.title == f"{kind} {name}"]
            if not found:
                _unknown(kind, name, (s.title.removeprefix(f"{kind} ") for s in parts))
    if where:
        places = [c.where for _, c in found]
        found = [(s, c) for s, c in found if c.where == where]
        if not found:
            _unknown("place", where, places)
    print_derivation(found, _units(design, units), several=len(design.parts) > 1)
    raise typer.Exit(FAILS if any(_failed(c) for _, c in found) else PASSES)


@app.command()
def report(
    file: File,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="PDF", help="File to write; FILE.pdf if not given.")
    ] = None,
    units: Units = None,
) -> None:  # fmt: skip
    """Write the calculation as PDF."""
    from backstay.files import output_at
    from backstay.report import write_report

    target = output_at(output or file.with_suffix(".pdf"), "PDF", file)
    design = _design(file)
    write_report(design, target, _units(design, units))
    _say(f"Wrote {target}")
    raise typer.Exit(_status(design))


@app.command()
def draw(
    file: File,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="FOLDER", help="Folder to write to; FILE-drawings if not given."),
    ] = None,
    units: Units = None,
) -> None:  # fmt: skip
    """Write section and elevation as DXF, SVG and PDF."""
    from backstay.drawing import write_drawings
    from backstay.files import folder_for

    folder = folder_for(output or file.with_name(f"{file.stem}-drawings"))
    design = _design(file)
    for path in write_drawings(design, folder, _units(design, units)):
        _say(f"Wrote {path}")
    raise typer.Exit(_status(design))


@app.command()
def stages(file: File, units: Units = None) -> None:
    """Print what every stage of the dig does to the wall."""
    from backstay.terminal import print_stages

    design = _design(file)
    if not design.sections:
        _say("This project describes slopes alone: there is no wall to carry through stages.")
    print_stages(design, _units(design, units))
    raise typer.Exit(
        FAILS if any(_failed(c) for s in design.sections for c in s.staged.checks) else PASSES
    )


@app.command()
def schedule(
    file: File,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", metavar="XLSX", help="File to write; FILE.xlsx if not given.")
    ] = None,
    units: Units = None,
) -> None:  # fmt: skip
    """Write schedule, quantities, loads and checks as a spreadsheet."""
    from backstay.files import output_at
    from backstay.report import write_workbook

    target = output_at(output or file.with_suffix(".xlsx"), "workbook", file)
    design = _design(file)
    write_workbook(design, target, _units(design, units))
    _say(f"Wrote {target}")
    raise typer.Exit(_status(design))


app.command()(serve)


@app.command()
def schema(
    result: Annotated[
        bool, typer.Option("--result", help="Of what check --json prints, instead.")
    ] = False,
) -> None:
    """Print the JSON schema of the project file, for editors."""
    import json

    if result:
        from backstay.results import result_schema

        document = result_schema()
    else:
        from backstay.model.schema import json_schema

        document = json_schema()
    typer.echo(json.dumps(document, indent=2, ensure_ascii=False))


def _design(file: Path) -> Design:
    from backstay.model.reading import read_project

    project = read_project(file)
    from backstay.design import design
    from backstay.errors import DesignError
    from backstay.kernels import prepare
    from backstay.stability.slip.build import KERNEL as SLIP_SURFACES
    from backstay.wall.staged.build import KERNEL as STAGES

    prepare((SLIP_SURFACES, STAGES) if project.sections else (SLIP_SURFACES,), _say)
    try:
        return design(project)
    except DesignError as error:
        from backstay.checks import expand

        raise DesignError(expand(error.reason, project.units), error.where) from error


def _units(design: Design, wanted: str | None) -> UnitSystem:
    from backstay.quantity import UnitSystem

    return UnitSystem(wanted) if wanted else design.project.units


def _failed(check: Check) -> bool:
    from backstay.checks import Verdict

    return check.verdict is Verdict.FAIL


def _status(design: Design) -> int:
    """Return the exit status of a design; say how many checks fail."""
    failed = sum(_failed(c) for _, c in design.checks)
    if failed:
        _say(f"{failed} check{'s fail' if failed > 1 else ' fails'}.")
    return FAILS if failed else PASSES


def _named(design: Design, wanted: str) -> list[tuple[Part, Check]]:
    """Return the checks of an identifier, or of the one kind whose name has the words wanted."""
    found = [(s, c) for s, c in design.checks if c.id == wanted]
    if found:
        return found
    words = wanted.casefold().split()
    found = [(s, c) for s, c in design.checks if all(w in c.name.casefold() for w in words)]
    kinds = dict.fromkeys(c.id for _, c in found)
    if not found:
        _unknown("check", wanted, (c.id for _, c in design.checks))
    if len(kinds) > 1:
        _say(f'Several checks are called "{wanted}": {", ".join(kinds)}')
        raise typer.Exit(WRONG_INPUT)
    return found


def _unknown(what: str, read: str, known: Iterable[str]) -> NoReturn:
    from difflib import get_close_matches

    names = list(dict.fromkeys(known))
    near = get_close_matches(read, names, n=3, cutoff=0.5)
    if near:
        _say(f'There is no {what} "{read}". Did you mean {" or ".join(near)}?')
    else:
        _say(
            f'There is no {what} "{read}". There are: {", ".join(n or "(one only)" for n in names)}'
        )
    raise typer.Exit(WRONG_INPUT)


def _say_faults(error: ProjectError) -> None:
    count = len(error.faults)
    _say(f"{error.name or 'The project file'}: {count} fault{'s' if count > 1 else ''}")
    for fault in error.faults:
        _say(f"  {fault}")


def _say(words: str) -> None:
    typer.echo(words, err=True)


if __name__ == "__main__":
    main()

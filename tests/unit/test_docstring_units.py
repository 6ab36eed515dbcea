"""Docstrings are held to the code: the same parameters, and a unit for every number.

The sources are read with :mod:`ast` and never imported, so a module is held to this from its
first line on. Commands are exempt: their parameters are text from the shell, and click shows it.
"""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "src" / "strandwright"
EXEMPT = frozenset({"cli"})

REMEDY = (
    "End the text of each number with its unit: [m], [N/m], [rad], [-] for a plain number or a "
    "count, [unit] where the unit stands in another field."
)

Function = ast.FunctionDef | ast.AsyncFunctionDef

NUMBERS = frozenset({"float", "int", "complex", "Fraction", "ndarray", "NDArray", "ArrayLike"})
# A mapping may hold quantities of several kinds; a function or a random generator is none.
NOT_A_QUANTITY = frozenset(
    {"Callable", "Mapping", "dict", "BoolArray", "bool", "bool_", "Generator"}
)

# Base classes that bring no fields of their own.
ROOTS = frozenset({"NamedTuple", "TypedDict", "BaseModel", "Protocol", "Generic"})

# "[N/m]", "[-]", "[1/K]"; not an interval "[0, 1]", a reference "[1]_", or a type "tuple[int]".
UNIT = re.compile(r"(?<![\w.])\[(?:1/)?(?:-|%|°|[^\W\d])[^\[\],]*\](?!_)")


@dataclass(frozen=True)
class Entry:
    """One documented name: what the docstring says of it."""

    name: str
    text: str

    @property
    def has_unit(self) -> bool:
        """Whether a bracketed unit stands in its text."""
        return UNIT.search(self.text) is not None


# ------------------------------------------------------------------------- reading a docstring


def sections(docstring: str | None) -> dict[str, list[str]]:
    """Split a numpydoc docstring at its underlined headings; the summary is under ''."""
    lines = inspect.cleandoc(docstring or "").splitlines()
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for index, line in enumerate(lines):
        following = lines[index + 1] if index + 1 < len(lines) else ""
        if following and set(following) == {"-"} and len(following) >= 3:
            heading = line.strip()
            found[heading] = []
        elif not (line and set(line) == {"-"}):
            found[heading].append(line)
    return found


def entries(lines: list[str]) -> list[Entry]:
    """Read the entries of a section: ``a, b : type`` and the indented text below it."""
    blocks: list[list[str]] = []
    for line in lines:
        if line and not line[0].isspace():
            blocks.append([line])
        elif blocks:
            blocks[-1].append(line)
    return [
        Entry(name.strip().lstrip("*"), "\n".join(block))
        for block in blocks
        for name in block[0].split(" : ")[0].split(",")
    ]


# ------------------------------------------------------------------------------ reading the code


def is_quantity(annotation: ast.expr | None, numbers: frozenset[str] = NUMBERS) -> bool:
    """Whether a value of this annotation is a number or an array of them."""
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        annotation = ast.parse(annotation.value, mode="eval").body
    if annotation is None:
        return False
    names = {node.id for node in ast.walk(annotation) if isinstance(node, ast.Name)}
    names |= {node.attr for node in ast.walk(annotation) if isinstance(node, ast.Attribute)}
    if names & NOT_A_QUANTITY:
        return False
    return any(name in numbers or name.endswith("Array") for name in names)


def is_public(name: str) -> bool:
    """Whether a name belongs to what a module offers."""
    return not name.startswith("_")


def _base_names(node: ast.ClassDef) -> set[str]:
    """Give the last part of each base class's name."""
    bases = (base.value if isinstance(base, ast.Subscript) else base for base in node.bases)
    return {ast.unparse(base).split(".")[-1] for base in bases}


def _decorators(node: Function | ast.ClassDef) -> set[str]:
    """Give the decorators' names without their arguments."""
    return {ast.unparse(item).split("(")[0].split(".")[-1] for item in node.decorator_list}


def holds_fields(node: ast.ClassDef) -> bool:
    """Whether the annotated names in the class body are its fields."""
    records = {"NamedTuple", "TypedDict", "BaseModel"}
    return "dataclass" in _decorators(node) or bool(_base_names(node) & records)


def fields(node: ast.ClassDef) -> dict[str, ast.expr]:
    """Give the public fields of a record class with their annotations, in order."""
    return {
        item.target.id: item.annotation
        for item in node.body
        if isinstance(item, ast.AnnAssign)
        and isinstance(item.target, ast.Name)
        and is_public(item.target.id)
        and "ClassVar" not in ast.unparse(item.annotation)
    }


def parameters(node: Function, *, bound: bool) -> dict[str, ast.expr | None]:
    """Give a signature's public parameters in order, without ``self`` or ``cls``."""
    spec = node.args
    positional = [*spec.posonlyargs, *spec.args]
    if bound and "staticmethod" not in _decorators(node):
        positional = positional[1:]
    rest = [spec.vararg, *spec.kwonlyargs, spec.kwarg]
    every = [*positional, *(item for item in rest if item is not None)]
    return {item.arg: item.annotation for item in every if is_public(item.arg)}


# ------------------------------------------------------------------------------------- the rules


def _mismatch(documented: list[str], actual: list[str], section: str) -> Iterator[str]:
    """Say where the names of a section differ from those of the code."""
    for name in actual:
        if name not in documented:
            yield f"'{name}' is missing from {section}"
    for name in documented:
        if name not in actual:
            yield f"'{name}' stands in {section} but not in the code"
    if sorted(documented) == sorted(actual) and documented != actual:
        yield f"{section} stands in another order than the code: {', '.join(actual)}"


def _unitless(documented: list[Entry], actual: dict[str, ast.expr | None]) -> Iterator[str]:
    """Say which numbers are documented without a unit."""
    for entry in documented:
        annotation = actual.get(entry.name)
        if is_quantity(annotation) and not entry.has_unit:
            yield f"'{entry.name}' ({ast.unparse(annotation or ast.Name('?'))}) has no unit [...]"


def check_function(node: Function, *, bound: bool) -> Iterator[str]:
    """Hold one function or method to its docstring."""
    docstring = ast.get_docstring(node)
    if docstring is None:
        yield "has no docstring"
        return
    parts = sections(docstring)
    documented = entries(parts.get("Parameters", []) + parts.get("Other Parameters", []))
    actual = parameters(node, bound=bound)
    yield from _mismatch([entry.name for entry in documented], list(actual), "Parameters")
    yield from _unitless(documented, actual)
    # A whole number given back is a count or an index, and so is an array of intp.
    given = ast.unparse(node.returns) if node.returns else ""
    if is_quantity(node.returns, NUMBERS - {"int"}) and "intp" not in given:
        # A property or a one-line function may carry the unit in its summary.
        brief = _decorators(node) & {"property", "cached_property"} or not actual
        told = docstring if brief else "\n".join(parts.get("Returns", parts.get("Yields", [])))
        if UNIT.search(told) is None:
            yield f"the value returned ({given}) has no unit"


def check_record(node: ast.ClassDef) -> Iterator[str]:
    """Hold a dataclass or another record to its list of attributes."""
    parts = sections(ast.get_docstring(node))
    documented = entries(parts.get("Attributes", parts.get("Parameters", [])))
    actual: dict[str, ast.expr | None] = dict(fields(node))
    derived = {item.name for item in node.body if isinstance(item, Function)}
    inherits = bool(_base_names(node) - ROOTS)
    own = [
        entry.name
        for entry in documented
        if entry.name in actual or not (inherits or entry.name in derived)
    ]
    yield from _mismatch(own, list(actual), "Attributes")
    yield from _unitless(documented, actual)


def check_class(node: ast.ClassDef, above: dict[str, ast.ClassDef]) -> Iterator[tuple[str, str]]:
    """Hold a class and its public methods to their docstrings."""
    if ast.get_docstring(node) is None:
        yield node.name, "has no docstring"
    elif holds_fields(node):
        yield from ((node.name, fault) for fault in check_record(node))
    for item in node.body:
        if not isinstance(item, Function):
            continue
        if item.name == "__init__" and not holds_fields(node):
            documented = entries(sections(ast.get_docstring(node)).get("Parameters", []))
            actual = parameters(item, bound=True)
            names = [entry.name for entry in documented]
            faults = [*_mismatch(names, list(actual), "Parameters"), *_unitless(documented, actual)]
            yield from ((node.name, fault) for fault in faults)
        elif is_public(item.name) and not _documented_above(item, node, above):
            faults = list(check_function(item, bound=True))
            yield from ((f"{node.name}.{item.name}", fault) for fault in faults)


def _documented_above(
    method: Function, node: ast.ClassDef, above: dict[str, ast.ClassDef]
) -> bool:
    """Whether a base class in the package documents the same method with the same parameters.

    An interface is documented once; its implementations need not repeat it.
    """
    actual = list(parameters(method, bound=True))
    for base in (above[name] for name in _base_names(node) & set(above)):
        for item in base.body:
            if isinstance(item, Function) and item.name == method.name:
                return list(parameters(item, bound=True)) == actual
    return False


def faults_in(source: str, above: dict[str, ast.ClassDef] | None = None) -> list[str]:
    """Give every fault of one module's text as ``name (line n): fault``."""
    faults: list[str] = []
    for node in ast.parse(source).body:
        if isinstance(node, Function) and is_public(node.name):
            if "overload" not in _decorators(node):
                found = check_function(node, bound=False)
                faults += [f"{node.name} (line {node.lineno}): {fault}" for fault in found]
        elif isinstance(node, ast.ClassDef) and is_public(node.name):
            pairs = check_class(node, above or {})
            faults += [f"{name} (line {node.lineno}): {fault}" for name, fault in pairs]
    return faults


# ------------------------------------------------------------------------------------- the tests


def _modules() -> list[Path]:
    """Every module of the package that is not exempt."""
    return sorted(
        path
        for path in PACKAGE.rglob("*.py")
        if path.relative_to(PACKAGE).parts[0] not in EXEMPT
    )


def test_public_docstrings_match_their_signatures_and_state_units() -> None:
    """Every public function and record lists its parameters, each number with its unit."""
    sources = {path: path.read_text(encoding="utf-8") for path in _modules()}
    above = {
        node.name: node
        for source in sources.values()
        for node in ast.parse(source).body
        if isinstance(node, ast.ClassDef)
    }
    offenders = [
        f"{path.relative_to(PACKAGE)}: {fault}"
        for path, source in sources.items()
        for fault in faults_in(source, above)
    ]
    assert sources, "no module was found: the search itself is broken"
    assert not offenders, "\n  ".join([f"{len(offenders)} docstring faults. {REMEDY}", *offenders])


GOOD = '''
def stretch(load, *, stiffness: float) -> float:
    """Elongate a strand.

    Parameters
    ----------
    load : object
        Anything; not annotated as a number.
    stiffness : float
        Axial stiffness, > 0 [N]

    Returns
    -------
    float
        Strain, positive when longer [-]
    """
'''


@pytest.mark.parametrize(
    ("before", "after", "fault"),
    [
        ("stiffness : float", "stifness : float", "'stiffness' is missing"),
        ("> 0 [N]", "> 0", "has no unit"),
        ("> 0 [N]", "in [0, 1]", "has no unit"),
        ("> 0 [N]", "see [1]_", "has no unit"),
        ("> 0 [N]", "of tuple[float]", "has no unit"),
        ("longer [-]", "longer", "the value returned (float) has no unit"),
        ("load, *", "load, pin, *", "'pin' is missing"),
    ],
)
def test_a_fault_is_seen(before: str, after: str, fault: str) -> None:
    """The check passes a sound docstring and names each fault made in it."""
    assert faults_in(GOOD) == []
    assert any(fault in found for found in faults_in(GOOD.replace(before, after)))


def test_a_record_without_a_unit_is_seen() -> None:
    """A dataclass field that is a number needs a unit; a text field does not."""
    record = (
        "@dataclass(frozen=True)\nclass Pin:\n"
        '    """A pin.\n\n    Attributes\n    ----------\n    name : str\n        Which.\n'
        '    diameter : float\n        Across [m]\n    """\n'
        "    name: str\n    diameter: float\n"
    )
    assert faults_in(record) == []
    assert faults_in(record.replace(" [m]", "")) == [
        "Pin (line 2): 'diameter' (float) has no unit [...]"
    ]

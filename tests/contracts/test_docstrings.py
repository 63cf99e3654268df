"""How a function reads: every public one says what comes back; a kernel says it in units."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parents[2] / "src" / "loosewell"
MODULES = sorted(path for path in SOURCE.rglob("*.py") if "versions" not in path.parts)
KERNEL_MODULES = [path for path in MODULES if path.parent.name == "physics"]

Function = ast.FunctionDef | ast.AsyncFunctionDef


def public(body: list[ast.stmt]) -> Iterator[Function | ast.ClassDef]:
    for node in body:
        if isinstance(node, Function | ast.ClassDef) and not node.name.startswith("_"):
            yield node


def name_of(path: Path) -> str:
    return str(path.relative_to(SOURCE))


def kernels() -> list[tuple[str, Function]]:
    found = []
    for path in KERNEL_MODULES:
        for node in public(ast.parse(path.read_text(encoding="utf-8")).body):
            if isinstance(node, Function):
                found.append((f"{name_of(path)}:{node.name}", node))
    return found


def sections(docstring: str) -> dict[str, str]:
    """The text under each underlined heading."""
    parts = re.split(r"^([A-Z][a-z ]+)\n-{3,}\n", docstring, flags=re.MULTILINE)
    return {name: text.strip("\n") for name, text in zip(parts[1::2], parts[2::2], strict=True)}


def entries(section: str) -> list[tuple[list[str], str]]:
    """Each `name, name : type` line with the indented text below it."""
    found: list[tuple[list[str], str]] = []
    for line in section.splitlines():
        if line and not line.startswith(" "):
            names = [name.strip().lstrip("*") for name in line.split(" : ")[0].split(",")]
            found.append((names, line))
        elif found:
            found[-1] = (found[-1][0], found[-1][1] + "\n" + line)
    return found


def arguments(node: Function) -> list[str]:
    told = node.args
    every = [*told.posonlyargs, *told.args, *told.kwonlyargs]
    every += [extra for extra in (told.vararg, told.kwarg) if extra]
    return [argument.arg for argument in every]


def gives_back(node: Function) -> bool:
    """Whether the function returns a value, leaving functions inside it aside."""
    waiting: list[ast.AST] = list(node.body)
    while waiting:
        step = waiting.pop()
        if isinstance(step, ast.Return) and step.value is not None:
            return True
        if not isinstance(step, Function | ast.Lambda | ast.ClassDef):
            waiting.extend(ast.iter_child_nodes(step))
    return False


def faults(node: Function) -> list[str]:
    """What a kernel's docstring lacks, in words."""
    docstring = ast.get_docstring(node)
    if not docstring:
        return ["has no docstring"]
    told = sections(docstring)
    found = [f"says nothing under {part}" for part in ("Holds", "Source") if not told.get(part)]
    listed = entries(told.get("Parameters", ""))
    names = [name for group, _ in listed for name in group]
    if sorted(names) != sorted(arguments(node)):
        found.append(f"lists {names}, takes {arguments(node)}")
    returned = entries(told.get("Returns", ""))
    if gives_back(node) and not returned:
        found.append("returns something and does not say what")
    for group, text in [*listed, *returned]:
        if group != ["None"] and not re.search(r"\[[^\]\n]+\]", text):
            found.append(f"gives no [unit] for {', '.join(group)}")
    return found


@pytest.mark.parametrize(("where", "node"), [pytest.param(*pair, id=pair[0]) for pair in kernels()])
def test_a_kernel_states_units_range_and_source(where: str, node: Function) -> None:
    assert not faults(node), f"{where} {'; '.join(faults(node))}"


def test_there_are_kernels_to_read() -> None:
    assert len(kernels()) >= 10


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_everything_public_has_a_summary(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    if not tree.body:
        return
    silent = [] if ast.get_docstring(tree) else ["the module itself"]
    for node in public(tree.body):
        inside = list(public(node.body)) if isinstance(node, ast.ClassDef) else []
        for one in [node, *inside]:
            first = (ast.get_docstring(one) or "").split("\n")[0]
            if not first.endswith((".", ":", "]")):
                silent.append(f"line {one.lineno}: {one.name}")
    assert not silent, f"{name_of(path)} has no summary line, ending in a full stop, for {silent}"


WITHOUT_SOURCE = '''
def deflection(load, span):
    """Deflection.

    Parameters
    ----------
    load : float
        Force. [N]
    width : float
        Distance.

    Returns
    -------
    deflection : float
        Displacement. [m]

    Holds
    -----
    Small slopes.
    """
    return load * span
'''


def test_the_reader_of_docstrings_sees_what_is_missing() -> None:
    node = ast.parse(WITHOUT_SOURCE).body[0]
    assert isinstance(node, Function)
    told = " ".join(faults(node))
    assert "nothing under Source" in told
    assert "takes ['load', 'span']" in told
    assert "no [unit] for width" in told
    assert "Holds" not in told

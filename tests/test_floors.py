"""The stairs: imports go down only, a library has one owner, files and functions stay small."""

import ast
from collections.abc import Callable
from functools import cache
from pathlib import Path

from diagnose.knowledge.load import load_knowledge

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "diagnose").rglob("*.py"))
FLOORS = {
    "measuring": 1,
    "knowledge": 2,
    "language": 3,
    "reasoning": 3,
    "cases": 4,
    "dialogue": 5,
    "practice": 5,
    "reports": 6,
    "screens": 6,
    "cli": 7,
}
OWNERS = {
    "yaml": {"knowledge/yamltext.py"},
    "pydantic": {"knowledge/shape.py"},
    "durable": {"reasoning/durable.py"},
    "durable_rules_engine": {"reasoning/durable.py"},
    "prompt_toolkit": {"screens/terminal.py"},
    "jinja2": {"reports/page.py"},
}
MANY_OWNERS = {
    "numpy": {"reasoning"},
    "rapidfuzz": {"cases", "language", "cli", "screens"},
    "sqlalchemy": {"cases"},
}


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports(path: Path) -> list[str]:
    """Every module imported, those for type checking alone left out."""
    tree = parsed(path)
    skipped = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    names = []
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module == "diagnose":
            names += [f"diagnose.{alias.name}" for alias in node.names if alias.name in FLOORS]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.append(node.module)
    return names


def of_all(look: Callable[[Path], object], usual: object) -> dict[str, object]:
    """What is found in each file, where it is not as it should be."""
    found = {str(path.relative_to(ROOT)): look(path) for path in FILES}
    return {name: what for name, what in found.items() if what != usual}


def above(path: Path) -> list[str]:
    package = path.relative_to(ROOT / "diagnose").parts[0]
    own = FLOORS.get(package.removesuffix(".py"), 0)
    return [
        name
        for name in imports(path)
        if name.startswith("diagnose.")
        and (other := name.split(".")[1]) != package
        and FLOORS.get(other, 0) >= own
    ]


def test_imports_go_down_only() -> None:
    assert of_all(above, []) == {}


def not_owned(path: Path) -> set[str]:
    file = path.relative_to(ROOT / "diagnose").as_posix()
    used = {name.split(".")[0] for name in imports(path)}
    strange = {u for u in used & OWNERS.keys() if file not in OWNERS[u]}
    strange |= {u for u in used & MANY_OWNERS.keys() if file.split("/")[0] not in MANY_OWNERS[u]}
    return strange


def test_a_library_is_used_by_its_owner_alone() -> None:
    assert of_all(not_owned, set()) == {}


def too_large(path: Path) -> tuple[bool, list[str], list[str]]:
    inside = functions(path)
    too_long = [node.name for node in inside if length(node) > 40]
    too_wide = [node.name for node in inside if width(node) > 5]
    lines = path.read_text(encoding="utf-8").splitlines()
    return len(lines) > 400, too_long, too_wide


def test_files_and_functions_stay_small() -> None:
    assert of_all(too_large, (False, [], [])) == {}


def functions(path: Path) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [n for n in ast.walk(parsed(path)) if isinstance(n, kinds)]


def length(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its docstring."""
    lines = (node.end_lineno or 0) - node.lineno + 1
    if ast.get_docstring(node):
        lines -= (node.body[0].end_lineno or 0) - node.body[0].lineno + 1
    return lines


def width(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Arguments of a function, self left out."""
    names = [a.arg for a in node.args.args + node.args.kwonlyargs]
    return len([n for n in names if n not in ("self", "cls")])


def test_the_program_knows_no_cause_finding_or_check_by_name() -> None:
    knowledge = load_knowledge()
    known = {*knowledge.causes, *knowledge.findings, *knowledge.checks, *knowledge.cautions}
    named = [
        (path.name, node.value)
        for path in FILES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Constant) and node.value in known
    ]
    assert named == []


def test_developers_table_names_every_package_and_its_floor() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = {
        row.split("|")[2].strip(" `"): int(row.split("|")[1])
        for row in text.splitlines()
        if row.startswith("| ") and row[2].isdigit()
    }
    assert rows == FLOORS

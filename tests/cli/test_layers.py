"""The layers: imports only go down, siblings never meet, and each thing has its one place."""

import ast
import re
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import stockbook

ROOT = Path(stockbook.__file__).parent
BELOW = {
    "cli": {"jobs", "reports", "files", "domain", "errors"},
    "jobs": {"ledger", "forecast", "domain", "errors"},
    "ledger": {"domain", "errors"},
    "forecast": {"domain", "errors"},
    "reports": {"domain", "errors"},
    "files": {"domain", "errors"},
    "domain": {"errors"},
    "errors": set(),
}
LEDGER_IN_CLI = "cli/context.py"
ENTRANCES = {"__init__", "__main__"}
MODULES = sorted(ROOT.rglob("*.py"))
NAMES = [str(path.relative_to(ROOT)) for path in MODULES]


@cache
def tree(name: str) -> ast.Module:
    return ast.parse((ROOT / name).read_text(encoding="utf-8"))


def layer(name: str) -> str:
    return name.split("/", maxsplit=1)[0].removesuffix(".py")


def of_layers(*layers: str) -> list[str]:
    return [name for name in NAMES if layer(name) in layers]


def imports(name: str) -> Iterator[tuple[str, bool]]:
    """Every module imported anywhere in a file, and whether inside a function."""
    inside = {
        id(node)
        for function in ast.walk(tree(name))
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
    }
    for node in ast.walk(tree(name)):
        if isinstance(node, ast.Import):
            yield from ((alias.name, id(node) in inside) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name}: a relative import hides its layer"
            module = str(node.module)
            yield module, id(node) in inside
            for alias in node.names:
                if module.startswith("stockbook") and is_module(f"{module}.{alias.name}"):
                    yield f"{module}.{alias.name}", id(node) in inside


def is_module(dotted: str) -> bool:
    path = ROOT.joinpath(*dotted.split(".")[1:])
    return path.with_suffix(".py").is_file() or path.is_dir()


def own_layers(name: str) -> set[str]:
    """The layers of this program that a file imports."""
    return {m.split(".")[1] for m, _ in imports(name) if m.startswith("stockbook.")}


def top(name: str) -> set[str]:
    return {m.split(".")[0] for m, _ in imports(name)}


def test_every_file_lies_in_a_layer() -> None:
    assert {layer(name) for name in NAMES} - ENTRANCES <= set(BELOW)
    assert len(NAMES) > 50


@pytest.mark.parametrize("name", [n for n in NAMES if layer(n) not in ENTRANCES])
def test_imports_only_go_down(name: str) -> None:
    allowed = BELOW[layer(name)] | {layer(name)}
    if name == LEDGER_IN_CLI:
        allowed = allowed | {"ledger"}
    assert own_layers(name) - allowed == set()


def test_the_entrances_know_the_command_line_alone() -> None:
    assert own_layers("__main__.py") == {"cli"}
    assert own_layers("__init__.py") == set()


def test_no_library_but_those_of_the_program_is_imported() -> None:
    """What the tests install, scipy among it, is not there for a user."""
    found = set().union(*(top(name) for name in NAMES)) - sys.stdlib_module_names
    assert found <= {*ONLY_IN, "dateutil", "stockbook"}


ONLY_IN = {
    "click": ("cli",),
    "sqlite_utils": ("ledger",),
    "sqlite3": ("ledger", "jobs"),
    "pandas": ("reports",),
    "tabulate": ("reports",),
    "numpy": ("forecast",),
    "csv": ("files", "reports"),
    "openpyxl": ("files", "reports"),
    "segno": ("reports",),
    "matplotlib": ("reports",),
}
INSIDE_FUNCTIONS = {
    "pandas",
    "tabulate",
    "numpy",
    "sqlite_utils",
    "openpyxl",
    "matplotlib",
    "segno",
}


@pytest.mark.parametrize("module", sorted(ONLY_IN))
def test_each_library_has_its_layer(module: str) -> None:
    strays = [n for n in NAMES if module in top(n) and layer(n) not in ONLY_IN[module]]
    assert strays == []


@pytest.mark.parametrize("name", NAMES)
def test_heavy_libraries_are_imported_inside_functions(name: str) -> None:
    outside = {m.split(".")[0] for m, inside in imports(name) if not inside}
    assert outside & INSIDE_FUNCTIONS == set()


@pytest.mark.parametrize("name", NAMES)
def test_the_free_date_parser_is_never_used(name: str) -> None:
    assert "dateutil.parser" not in {m for m, _ in imports(name)}


def attributes(name: str, module: str) -> set[str]:
    """What a file takes from a module by `module.thing`."""
    return {
        node.attr
        for node in ast.walk(tree(name))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == module
    }


@pytest.mark.parametrize("name", of_layers("jobs"))
def test_jobs_know_of_sqlite_the_type_of_a_connection_alone(name: str) -> None:
    assert attributes(name, "sqlite3") <= {"Connection"}
    calls = {
        node.func.attr
        for node in ast.walk(tree(name))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }
    assert calls & {"execute", "executemany", "executescript", "cursor", "commit"} == set()


SQL = re.compile(r"\b(SELECT|INSERT|UPDATE|DELETE|PRAGMA|WHERE|ORDER BY|IS NOT NULL)\b")


def texts(name: str) -> list[str]:
    return [
        node.value
        for node in ast.walk(tree(name))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    ]


@pytest.mark.parametrize("name", [n for n in NAMES if layer(n) != "ledger"])
def test_sql_is_written_in_the_ledger_alone(name: str) -> None:
    assert [text for text in texts(name) if SQL.search(text)] == []


CLOCK = {
    "datetime": {"now", "today", "utcnow"},
    "date": {"today"},
    "time": {"time", "time_ns", "localtime", "gmtime", "strftime", "monotonic", "perf_counter"},
}
BUSY_WAIT = {"ledger/opening.py": {"monotonic"}}
"""Waiting for another posting measures how long; it never says what day it is."""


@pytest.mark.parametrize("name", [n for n in NAMES if layer(n) != "cli"])
def test_only_the_command_line_reads_the_clock(name: str) -> None:
    found = set().union(*(attributes(name, m) & names for m, names in CLOCK.items()))
    assert found - BUSY_WAIT.get(name, set()) == set()
    sql_clock = re.compile(r"'now'|CURRENT_(DATE|TIME)", re.IGNORECASE)
    assert [text for text in texts(name) if sql_clock.search(text)] == []


MAY_FLOAT = {
    "ledger/opening.py": {30.0, 2.0},  # seconds to wait for another posting
    "jobs/finding.py": {0.5},  # how alike two names have to look
}


@pytest.mark.parametrize("name", of_layers("domain", "jobs", "ledger"))
def test_no_float_touches_an_amount(name: str) -> None:
    """Rule 1: no float literal, no true division, no float() and no round()."""
    for node in ast.walk(tree(name)):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            assert node.value in MAY_FLOAT.get(name, set()), f"line {node.lineno}"
        if isinstance(node, ast.BinOp | ast.AugAssign):
            assert not isinstance(node.op, ast.Div), f"true division in line {node.lineno}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in {"float", "round"}, f"line {node.lineno}"


@pytest.mark.parametrize("name", of_layers("domain", "jobs", "ledger", "files", "reports"))
def test_only_the_command_line_prints_and_asks(name: str) -> None:
    if name == "files/check_export.py":  # a program of its own, handed out beside an export
        return
    called = {
        node.func.id
        for node in ast.walk(tree(name))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert called & {"print", "input"} == set()
    assert "sys" not in top(name)
    assert attributes(name, "os") & {"environ", "getenv", "system"} == set()


@pytest.mark.parametrize("name", of_layers("domain"))
def test_the_domain_touches_no_file(name: str) -> None:
    assert top(name) & {"pathlib", "io", "tempfile", "socket", "subprocess", "sqlite3"} == set()


def siblings(name: str, within: str) -> set[str]:
    """The files of the same layer that a file imports."""
    found = set()
    for module, _ in imports(name):
        path = "/".join(module.split(".")[1:]) + ".py"
        if module.startswith(f"stockbook.{within}.") and path in NAMES:
            found.add(path)
    return found


@pytest.mark.parametrize("within", [name for name in BELOW if name != "errors"])
def test_within_a_layer_no_import_goes_round_in_a_circle(within: str) -> None:
    waiting = {name: siblings(name, within) for name in of_layers(within)}
    while waiting:
        free = [name for name, needs in waiting.items() if not needs & waiting.keys()]
        assert free, f"a circle among {sorted(waiting)}"
        for name in free:
            del waiting[name]


def functions(name: str) -> Iterator[tuple[str, int]]:
    for node in ast.walk(tree(name)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield f"{name}:{node.name}", (node.end_lineno or node.lineno) - node.lineno + 1


def test_functions_are_short() -> None:
    """None over 50 lines, nine in ten at most 25."""
    lengths = sorted(length for name in NAMES for _, length in functions(name))
    assert [f for name in NAMES for f in functions(name) if f[1] > 50] == []
    assert lengths[len(lengths) * 9 // 10] <= 25


@pytest.mark.parametrize("name", NAMES)
def test_files_are_short(name: str) -> None:
    assert len((ROOT / name).read_text(encoding="utf-8").splitlines()) <= 320


def test_one_word_runs_from_the_command_to_its_test() -> None:
    """`stockbook issue` is cli/issue.py, jobs/issue.py and tests/jobs/test_issue.py."""
    from stockbook.cli.main import SECTIONS

    tests = Path(__file__).parent.parent / "jobs"
    for command in (name for commands in SECTIONS.values() for name in commands):
        word = command.replace("-", "_")
        file = "import_" if command == "import" else word
        assert f"cli/{file}.py" in NAMES
        assert f"jobs/{file}.py" in NAMES or command == "demo"
        assert (tests / f"test_{word}.py").is_file()

"""The shape of the house: who may import whom, who may touch the disk, what stays out of the quick commands."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "diag"

# The floors, lowest first: a package may import those below it in its own column, itself, and nothing else of ours.
MAY_IMPORT: dict[str, set[str]] = {
    "support": set(),
    "quantities": {"support"},
    "fuelsystem": {"quantities", "support"},
    "rulebook": {"fuelsystem", "quantities", "support"},
    "design": {"fuelsystem", "quantities", "support"},
    "safety": {"rulebook", "fuelsystem", "quantities", "support"},
    "datalog": {"quantities", "support"},
    "hearing": {"rulebook", "fuelsystem", "quantities", "support"},
}
MAY_IMPORT["inference"] = MAY_IMPORT["safety"]
MAY_IMPORT["decision"] = MAY_IMPORT["safety"] | {"safety", "inference"}
MAY_IMPORT["casework"] = MAY_IMPORT["decision"] | {"decision"}
MAY_IMPORT["desk"] = MAY_IMPORT["casework"] | {"casework"}
MAY_IMPORT["session"] = MAY_IMPORT["casework"] | {"casework", "datalog", "hearing"}
CORE = set(MAY_IMPORT) | {""}
RIM: dict[str, set[str]] = {
    "presentation": CORE,
    "simulation": CORE | {"presentation"},
    "practice": CORE | {"presentation", "simulation"},
    "evaluation": CORE | {"presentation", "simulation"},
    "ui": CORE | {"presentation", "simulation", "practice", "evaluation"},
}
ALLOWED = {**{name: below | {"", name} for name, below in MAY_IMPORT.items()}, **{n: r | {n} for n, r in RIM.items()}}

# Below the line only these modules may open files; the rest works on text and objects.
OWNERS_OF_THE_DISK = {
    "support/disk/operations.py", "support/disk/files.py", "support/disk/lock.py", "support/disk/holder.py",
    "casework/store.py", "casework/open_case.py", "casework/claims.py", "casework/index.py", "datalog/file.py",
    "desk/outbox.py",
    "rulebook/load.py", "rulebook/where.py", "rulebook/cached.py", "rulebook/lint/__main__.py",
}  # fmt: skip


def modules(package: str) -> list[Path]:
    """All modules of one package."""
    return sorted((PACKAGE / package).rglob("*.py"))


@cache
def tree_of(path: Path) -> ast.Module:
    """A module, read once for all that is asked of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(path: Path) -> set[str]:
    """Full names of everything of ours that a module imports, wherever in the module."""
    found = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.add(node.module)
    return {name for name in found if name == "diag" or name.startswith("diag.")}


@pytest.mark.parametrize("package", sorted(ALLOWED))
def test_imports_run_downwards(package: str) -> None:
    """No module imports from a package above its own."""
    wrong = [
        f"{path.relative_to(PACKAGE)} imports {name}"
        for path in modules(package)
        for name in imports_of(path)
        if (name.split(".")[1] if "." in name else "") not in ALLOWED[package]
    ]
    assert wrong == []


def test_every_package_has_its_place() -> None:
    """A new package must be entered in the table above, so that its place is a decision."""
    packages = {p.name for p in PACKAGE.iterdir() if p.is_dir() and (p / "__init__.py").exists()}
    assert packages == set(ALLOWED)


@pytest.mark.parametrize("package", sorted(MAY_IMPORT))
def test_only_the_named_modules_touch_disk_screen_or_clock(package: str) -> None:
    """Below the line nothing opens files, prints, asks or looks at the clock, but for the modules that own the disk."""
    wrong = []
    for path in modules(package):
        name = str(path.relative_to(PACKAGE))
        if name in OWNERS_OF_THE_DISK or package == "session":
            continue
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Call):
                called = node.func.id if isinstance(node.func, ast.Name) else ""
                method = node.func.attr if isinstance(node.func, ast.Attribute) else ""
                if called in ("open", "print", "input") or method in ("write_text", "read_text", "now", "unlink"):
                    wrong.append(f"{name}:{node.lineno} calls {called or method}")
    assert wrong == []


def loaded_by(arguments: list[str]) -> set[str]:
    """The modules a fresh interpreter has loaded after running the program with these arguments."""
    code = (
        "import sys\nfrom diag.ui.cli.main import main\n"
        f"code = main({arguments!r})\n"
        "sys.stderr.write('\\n'.join(sorted(sys.modules)))\nsys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stderr.splitlines())


def test_the_version_answers_without_loading_the_arithmetic() -> None:
    """``diag --version`` loads neither arrays nor screens nor YAML."""
    assert not loaded_by(["--version"]) & {"numpy", "textual", "rich", "yaml", "argparse"}


def test_weighing_a_case_loads_no_screens() -> None:
    """The commands without a screen never load the screen library."""
    with_screens = ("work.py", "practice.py", "bench.py", "board.py")
    names = [path for path in (PACKAGE / "ui" / "cli").glob("*.py") if path.name not in with_screens]
    for path in names:
        assert not {n for n in imports_of(path) if n.startswith("diag.ui.tui")}, path.name
    assert "textual" not in loaded_by(["lint"])


def late_imports(path: Path) -> list[tuple[int, bool]]:
    """Every run of imports inside a function: its first line, and whether a comment there or just above says why."""
    source = path.read_text(encoding="utf-8")
    lines, found = source.split("\n"), []
    for function in ast.walk(tree_of(path)):
        if not isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        at = {node.lineno for node in ast.walk(function) if isinstance(node, ast.Import | ast.ImportFrom)}
        ends = {node.end_lineno for node in ast.walk(function) if isinstance(node, ast.Import | ast.ImportFrom)}
        for line in at:
            above = line - 1 if lines[line - 2].strip() else line - 2
            if above not in ends:
                found.append((line, "#" in lines[line - 1] or lines[line - 2].strip().startswith("#")))
    return sorted(set(found))


def test_an_import_inside_a_function_says_why() -> None:
    """It hides a direction from whoever reads the head of a module; only a good reason makes up for that."""
    places = [
        f"{path.relative_to(PACKAGE)}:{line}"
        for path in PACKAGE.rglob("*.py")
        for line, told in late_imports(path)
        if not told
    ]
    assert places == []


def asked_by_each() -> dict[str, set[str]]:
    """Every module with those of ours it asks, wherever the import stands and whatever it is for."""
    names = {path: ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts) for path in PACKAGE.rglob("*.py")}
    known = set(names.values())
    asked: dict[str, set[str]] = {}
    for path, name in names.items():
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.ImportFrom) and node.module:
                found = {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
                asked.setdefault(name, set()).update(found & known - {name})
    return asked


def test_no_module_asks_itself_by_way_of_others() -> None:
    """Imports inside functions and for types count as well: they hide a circle from Python, not from a reader."""
    asked = asked_by_each()
    circles = set()
    for name in asked:
        reached: set[str] = set()
        ahead = set(asked[name])
        while ahead:
            reached |= ahead
            ahead = {further for one in ahead for further in asked.get(one, ())} - reached
        if name in reached:
            circles.add(name)
    assert circles == set()


MOST_LINES = 350
LONG_FUNCTION = 25


def test_modules_stay_small_enough_to_be_read_at_once() -> None:
    """A module that grows past this holds two subjects; it is cut where they part, not where the line falls."""
    lengths = {path: path.read_text(encoding="utf-8").count("\n") for path in PACKAGE.rglob("*.py")}
    assert [f"{path.relative_to(PACKAGE)}: {n}" for path, n in sorted(lengths.items()) if n > MOST_LINES] == []


def test_nine_functions_in_ten_fit_on_a_screen() -> None:
    """By lines from ``def`` to the end, docstrings counted."""
    lengths = sorted(
        (node.end_lineno or 0) - node.lineno + 1
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    )
    assert lengths[len(lengths) * 9 // 10] <= LONG_FUNCTION


def test_no_function_serves_the_tests_alone() -> None:
    """An example that certifies a function which the program never runs certifies nothing."""
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    named = Counter(word for text in texts.values() for word in re.findall(r"\w+", text))
    unused = [
        f"{path.relative_to(PACKAGE)}: {node.name}"
        for path in texts
        for node in tree_of(path).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and named[node.name] == 1 and not node.name.startswith("__")
    ]
    assert unused == []


KEPT_FOR_EVER = {
    "_spellings": "there are as many as kinds of quantity",
    "_amount": "there are as many as amounts in the stop rules",
    "_patient": "there is one database library",
}


def test_what_is_kept_of_anything_that_may_come_has_a_bound() -> None:
    """A bare cache of a function with arguments grows as long as the program runs; few have a reason to."""
    found = {
        function.name
        for path in sorted(PACKAGE.rglob("*.py"))
        for function in tree_of(path).body
        if isinstance(function, ast.FunctionDef)
        and function.args.args
        and any(isinstance(d, ast.Name) and d.id == "cache" for d in function.decorator_list)
    }
    assert found == set(KEPT_FOR_EVER)

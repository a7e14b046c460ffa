"""Finds the lint rules, runs them and sorts what they find."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from diag.rulebook.desk import Problem
from diag.rulebook.lint import rules as _rules_package
from diag.rulebook.load import Draft, read_folder, read_texts


@dataclass(frozen=True)
class Rule:
    """One lint rule: its name, its documentation, and whether it is slow (only with ``deep``)."""

    name: str
    about: str
    find: Callable[[Draft], Iterable[Problem]]
    deep: bool = False


def _discover() -> tuple[Rule, ...]:
    found = []
    for info in sorted(pkgutil.iter_modules(_rules_package.__path__), key=lambda i: i.name):
        module = importlib.import_module(f"{_rules_package.__name__}.{info.name}")
        name = info.name.replace("_", "-")
        found.append(Rule(name, inspect.getdoc(module) or "", module.find, getattr(module, "DEEP", False)))
    return tuple(found)


RULES: tuple[Rule, ...] = _discover()


def lint_draft(draft: Draft, deep: bool = False, only: Iterable[str] = ()) -> list[Problem]:
    """Every finding: first what loading refused, then what the rules found, in file order."""
    chosen = set(only)
    found = list(draft.problems)
    for rule in RULES:
        if (deep or not rule.deep) and (not chosen or rule.name in chosen):
            found.extend(rule.find(draft))
    return sorted(found, key=lambda p: p.sort_key)


def lint_folder(folder: Path, deep: bool = False) -> list[Problem]:
    """Lint every rule file under a folder.

    Raises:
        StorageError: the folder cannot be read.
    """
    return lint_draft(read_folder(folder), deep)


def lint_texts(texts: Mapping[str, str], deep: bool = False) -> list[Problem]:
    """Lint a book given as file name -> text."""
    return lint_draft(read_texts(texts), deep)

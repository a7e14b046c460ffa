"""Checks of the rule book beyond what loading refuses: one rule per file, each documented by its docstring.

``lint_folder`` and ``lint_texts`` give every finding in file order. A finding is an error (the book must not ship) or
advice (a person should look). The command line is ``python -m diag.rulebook.lint FOLDER`` or ``diag lint``.
"""

from diag.rulebook.lint.run import RULES, Rule, lint_draft, lint_folder, lint_texts

__all__ = ["RULES", "Rule", "lint_draft", "lint_folder", "lint_texts"]

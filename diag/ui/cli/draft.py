"""``diag draft``: a new entry of the rule book to fill in, beside a neighbour."""

from __future__ import annotations

import re
from pathlib import Path

from diag.rulebook.load import read_texts, texts_of
from diag.rulebook.skeleton import KINDS, beside, entry_span, skeleton
from diag.rulebook.where import rules_folder
from diag.support.disk.files import write_atomic
from diag.support.errors import ExitCode, UnknownNameError, UserError
from diag.support.yaml.reader import Map
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import remark, say

EPILOG = """Example: diag draft cause return-hose-collapsed --beside return-hose-swollen --rules rules
Every field stands there as a comment with the neighbour's words. Take the '#' away and fill it in, then: diag lint
"""


def parser() -> Arguments:
    """The options."""
    found = Arguments("draft", "Write a new entry of the rule book to fill in, beside a neighbour.", EPILOG)
    found.add_argument("kind", choices=tuple(KINDS), help="what it is")
    found.add_argument("name", metavar="NAME", help="its name: small letters, digits and hyphens")
    found.add_argument("--beside", metavar="NEIGHBOUR", help="the entry it is put behind and learns from")
    found.add_argument("--rules", type=Path, metavar="FOLDER", help="write it into these rules (else it is printed)")
    return found


def run(arguments: list[str]) -> int:
    """Print it, or put it into its file."""
    options = parser().parse_args(arguments)

    texts = texts_of(options.rules or rules_folder())
    usual = read_texts(texts).shared.usual.get(KINDS[options.kind])
    # What is usual of only a part of a field, as the basis of a frequency, does not spare the field.
    unsaid = tuple(name for name, node in usual.items.items() if not isinstance(node, Map)) if usual else ()
    if not options.beside:
        if options.rules:
            raise UserError("It has no place yet.", "Say --beside NEIGHBOUR: the entry it should stand behind.")
        say("\n".join(skeleton(options.kind, options.name, "", unsaid)))
        return ExitCode.DONE
    for file, text in texts.items():
        try:
            begin, end = entry_span(text, options.kind, options.beside)
        except UnknownNameError:
            continue
        if not options.rules:
            neighbour = "\n".join(text.split("\n")[begin:end])
            say("\n".join(skeleton(options.kind, options.name, neighbour, unsaid)))
            return ExitCode.DONE
        return _put(Path(file), beside(text, options.kind, options.name, options.beside, unsaid))
    names = [entry for text in texts.values() for entry in _names(text, options.kind)]
    raise UnknownNameError(options.kind, options.beside, names)


def _names(text: str, kind: str) -> list[str]:
    return re.findall(rf"^  - {kind}: ([\w-]+)", text, re.MULTILINE)


def _put(path: Path, made: tuple[str, int]) -> int:
    text, line = made
    write_atomic(path, text)
    remark(f"{path}:{line}: fill it in, then: diag lint {path.parent.parent}")
    return ExitCode.DONE

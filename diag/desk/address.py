"""Where a team's jobs are: a folder, or the address of a database server. Addresses never hold a secret.

An address is a connection URI of PostgreSQL (its documentation, section "Connection Strings"):
``postgresql://host/name``, ``postgresql:///name`` on this machine, ``postgresql://?service=desk`` by a service file.
The password comes from where the server's own programs look for it: the password file, the service file, PGPASSWORD.
"""

from __future__ import annotations

import re
from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from diag.support.errors import UserError
from diag.support.text import one_line

SCHEMES = ("postgresql://", "postgres://")
_SECRETS = frozenset({"password", "sslpassword", "oauth_client_secret"})
_IN_TEXT = re.compile(r"(postgres(?:ql)?://[^\s:/@]*):[^\s@]*@", re.I)
_AS_WORD = re.compile(r"\b(password|sslpassword|oauth_client_secret)\s*=\s*('(?:[^'\\]|\\.)*'|[^\s&]+)", re.I)


def is_address(text: str) -> bool:
    """Whether this names a server and no folder."""
    return text.lower().startswith(SCHEMES)


def checked(text: str) -> str:
    """The address as given.

    Raises:
        UserError: it holds a password, which others of this machine could read, or it is no address.
    """
    try:
        parts = urlsplit(text)
        secret = parts.password is not None or any(key in _SECRETS for key, _ in parse_qsl(parts.query))
    except ValueError:
        raise UserError("This is no address of a server.", "Write it as postgresql://host/name.") from None
    if secret:
        raise UserError(
            "The address holds a password, which others could read in the list of programs.",
            "Leave it out and put it into the server's password file (~/.pgpass).",
            shown(text),
        )
    return text


def shown(text: str) -> str:
    """The address fit to be shown: without anything secret."""
    try:
        parts = urlsplit(text)
        host = parts.netloc.rpartition("@")
        user = host[0].partition(":")[0]
        query = urlencode([(key, value) for key, value in parse_qsl(parts.query) if key not in _SECRETS])
        plain = urlunsplit((parts.scheme, f"{user}@{host[2]}" if user else host[2], parts.path, query, ""))
    except ValueError:
        return "the server"
    if parts.scheme and not parts.netloc and "://" not in plain:
        plain = plain.replace(":", "://", 1)  # the library drops the slashes before an empty host
    return one_line(plain, 200)


def without_secrets(text: str) -> str:
    """Any text, such as what a server says, with passwords in it blotted out."""
    return _AS_WORD.sub(r"\1=***", _IN_TEXT.sub(r"\1:***@", text))

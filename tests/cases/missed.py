"""The cases written apart from the model that the program ranks wrongly with everything told at once.

What is true of a case stays what it is; it is listed here with what is wrong and the figures of that day (chance of
the true cause, and what led) until it is ranked rightly. A case that is put right must leave the list.
"""

from __future__ import annotations

MISSED: dict[str, str] = {
    "bramble-drip-at-the-inlet": "port-ring-or-wrong-fitting 7 %, behind wrong-seal-pairing 82 %",
    "bramble-rich-at-one-end": "damper-torn 49 %, behind injector-drips 93 % although every tip stayed dry",
    "teasel-four-years-in-a-barn": "stale-fuel 32 %, behind alcohol-blend-separated 69 % for a little water in petrol",
    "linnet-silent-at-the-shop": "relay-failed 6 %, behind pump-unplugged 92 % although its contacts were seen burnt",
}

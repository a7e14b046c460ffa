"""The quantities through which causes that are no pressure fault act on how the engine runs.

``fuelling`` figures are fuel asked for against fuel that would be right: above 1 is rich. Losses are shares of the
firings that bring nothing.
"""

from __future__ import annotations

from diag.fuelsystem.parameter import JUDGEMENT, table

ENGINE = table(
    ("fuelling", "ratio", 0.05, 5.0, 1.0, "fuel asked for against what is right, everywhere", JUDGEMENT),
    ("idle fuelling", "ratio", 0.05, 5.0, 1.0, "the same, at idle only", JUDGEMENT),
    ("load fuelling", "ratio", 0.05, 5.0, 1.0, "the same, at full load only", JUDGEMENT),
    (
        "engine shown colder by",
        "temperature difference",
        -150.0,
        150.0,
        0.0,
        "what the control unit takes the engine to be colder than it is; below zero: warmer",
        JUDGEMENT,
    ),
    ("cranking fuelling", "ratio", 0.0, 20.0, 1.0, "the same, while cranking; flooded is far above 1", JUDGEMENT),
    (
        "pressure correction",
        "fraction",
        0.0,
        1.0,
        0.0,
        "1: the control unit counts on a rail pressure that does not follow the manifold",
        "square-root law",
    ),
    ("air behind the meter", "fraction", 0.0, 3.0, 0.0, "air that nobody measures, as a share of idle air", JUDGEMENT),
    ("purge vapour", "fraction", 0.0, 5.0, 0.0, "fuel vapour drawn in at idle, as a share of idle fuel", JUDGEMENT),
    ("trim authority", "fraction", 0.0, 0.6, 0.22, "most that the control unit corrects; 0 without lambda", JUDGEMENT),
    ("lambda error", "fraction", -0.5, 0.5, 0.0, "the lambda sensor takes the mixture for leaner by this", JUDGEMENT),
    ("idle spark loss", "fraction", 0.0, 1.0, 0.0, "share of sparks missing at idle", JUDGEMENT),
    ("load spark loss", "fraction", 0.0, 1.0, 0.0, "share of sparks missing at full load", JUDGEMENT),
    ("cranking spark loss", "fraction", 0.0, 1.0, 0.0, "share of sparks missing while cranking", JUDGEMENT),
    ("hot spark loss", "fraction", 0.0, 1.0, 0.0, "share of sparks missing once the ignition is hot", JUDGEMENT),
    ("burning loss", "fraction", 0.0, 1.0, 0.0, "share of firings that bad fuel or low compression costs", JUDGEMENT),
    ("injection loss", "fraction", 0.0, 1.0, 0.0, "share of injectors that stay shut", JUDGEMENT),
    ("weakest injector", "ratio", 0.0, 1.5, 1.0, "flow of the worst injector against the others", JUDGEMENT),
    ("far injectors", "ratio", 0.2, 1.2, 1.0, "flow at the far end of the rail at full load", JUDGEMENT),
    ("power loss", "fraction", 0.0, 0.95, 0.0, "share of full power that exhaust, air or timing cost", JUDGEMENT),
    ("idle air", "ratio", 0.0, 3.0, 1.0, "air let past the closed throttle against what idle needs", JUDGEMENT),
)
"""Registry by name; a part of ``parameters.PARAMETERS``."""

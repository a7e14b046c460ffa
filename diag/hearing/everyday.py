"""Ordinary words: what a story plays among, and what is never taken for a slip of the fingers. Data only."""

from __future__ import annotations


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


SCENERY = _words(
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand monday tuesday "
    "wednesday thursday friday saturday sunday today yesterday tonight week weeks weekend month months year years "
    "ago winters summers spring autumn evening afternoon daughter son wife husband mum dad mother father brother "
    "sister mate friend neighbour customer owner driver gran uncle aunt lad chap bypass motorway road roads lane "
    "street town city village school shop shops supermarket work home house coffee tea lunch breakfast mile miles "
    "kilometres trip journey holiday garage workshop poor thing lovely old dear darling wheel hatch snake leaf "
    "gasket clutch gearbox axle suspension "
    "paint banshee sewing doornail hatch saloon "
    "van camper trailer truck estate wagon coupe caravan family weekend holiday silly funny "
    "day days open opened show shows whole picture bit "
)
"""What a story plays among: times, numbers, people, roads. Beside the point where a line does not speak of it."""

EVERYDAY = _words(
    "again almost along alone another around away because better between both bring bought called car cold couple "
    "customer done each early either else end enough even ever every few find first found four five six seven eight "
    "nine ten twenty thirty forty fifty sixty seventy eighty ninety hundred thousand from full gave gone good "
    "great had "
    "hand happens happened hear heard help here high hold holds home hour hours idea into knew know large last late "
    "later least left less let live long look looks lost low main mate maybe mean means might mile miles minute "
    "minutes "
    "month months more most much must need needs never next night none nothing number often old once open "
    "opened order "
    "other over own part past people perfect place point pretty ready real really road round same second "
    "seconds seem "
    "seen shop short show shows side since small smooth sometimes soon sort stay still stop sure than thing "
    "think third "
    "time today together told tonight top town traffic trip truck under until used using usual wait water week weeks "
    "well went winter without wonder work worked worse would year years yesterday shop coast lovely boot beat "
    "mine sound "
    "weird strange funny simple wife friend garage trailer race club driver"
)
"""Ordinary words that are not mended into words of the trade, however near they are."""

"""The strength words of the book beside published averages of what people mean by them."""

from __future__ import annotations

from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder

# "Quantifying Probabilistic Expressions", Statistical Science 5 (1990) 2-34, averages over twenty studies.
# The abstract was read; these averages are from memory.
PUBLISHED = {
    "almost always": 0.91,
    "usually": 0.77,
    "often": 0.65,
    "as likely as not": 0.50,
    "sometimes": 0.28,
    "rarely": 0.07,
    "hardly ever": 0.03,
}


def test_strength_words_mean_what_people_mean_by_them() -> None:
    """Every strength word lies within 0.05 of the published average, and their order is the published order."""
    strengths = load_book(rules_folder()).knobs.strengths
    assert set(strengths) == set(PUBLISHED)
    for word, published in PUBLISHED.items():
        assert abs(strengths[word] - published) <= 0.05, word
    assert sorted(strengths, key=strengths.__getitem__) == sorted(PUBLISHED, key=PUBLISHED.__getitem__)

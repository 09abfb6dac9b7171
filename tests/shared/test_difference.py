"""The sentence that says what to listen for: short, true, and enough to rebuild a figure from."""

import re
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise, permutations, product

import pytest

from shared.counting import parse_figure
from shared.difference import FEW, MOST_WORDS, Difference
from shared.difference import difference as worked_out
from shared.figures import Figure
from shared.levels import vocabulary
from tests.shared.strategies import ALL_FIGURES

difference = cache(worked_out)
"""The tests ask for the same pairs again and again."""

FIGURES = vocabulary().figures
PAIRS = tuple(permutations(FIGURES, 2))
SMALL = tuple(pair for pair in PAIRS if difference(*pair).is_small)
LARGE = tuple(pair for pair in PAIRS if not difference(*pair).is_small)

# Counting words name these places of the beat: common practice, no source; ``ta`` is Drumlin's word for one between.
PLACES = {
    "beat": "0", "e": "1/4", "&": "1/2", "a": "3/4", "trip": "1/3", "let": "2/3", "la": "1/3", "li": "2/3",
    "ta before e": "1/8", "ta after e": "3/8", "ta after &": "5/8", "ta after a": "7/8",
    "ta before trip": "1/6", "ta after trip": "1/2", "ta after let": "5/6",
    "ta before la": "1/6", "ta after la": "1/2", "ta after li": "5/6",
}  # fmt: skip

ORDER = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")


def figure(count: str) -> Figure:
    return parse_figure(count)


def places(listed: str) -> tuple[Fraction, ...]:
    """The places that a list of the sentence names: each with an article, or those between two places grouped."""
    parts = [part.removeprefix("the ") for part in re.split(r", | and ", listed)]
    names = [f"ta {part}" if part.startswith(("before ", "after ")) else part for part in parts]
    return tuple(Fraction(PLACES[name]) for name in names)


def spoken_of(sentence: str, first: Figure, name: str = "") -> str:
    """A sentence without its full stop, and with "this one" for the name of the first figure, which it must hold."""
    named = name or f"“{first.count}”"
    if named not in sentence:
        # A count too long for the sentence: the figure is called by its place, and the other is "the other" or unsaid.
        named = "the first"
    text = sentence.removesuffix(".")
    text = re.sub(rf"^{re.escape(named[0].upper() + named[1:])}(?=\W)", "this one", text)
    text = re.sub(rf"(?<![\w“]){re.escape(named)}(?= (?!stroke)|'s)", "this one", text)
    assert "this one" in text or text == "Both sound the same", sentence
    return text[0].lower() + text[1:]


def reading(sentence: str, first: Figure, name: str = "") -> tuple[set[Fraction], set[Fraction]]:
    """What a sentence says its first figure has more and what it has less, read from the words alone."""
    text = spoken_of(sentence, first, name)
    text = re.sub(r"^both begin on the [^;]+; ", "", text)
    text = re.sub(r"(, so its [^;,]+|; the rest is the same)$", "", text)
    if found := re.fullmatch(r"this one is silent; the other plays (the .+)", text):
        return set(), set(places(found[1]))
    if found := re.fullmatch(r"this one plays (the .+); the other is silent", text):
        return set(places(found[1])), set()
    if found := re.fullmatch(r"only this one plays (the [^;]+)(; the other begins on the [^;]+)?", text):
        return set(places(found[1])), set()
    if found := re.fullmatch(r"this one adds (the .+)", text):
        return set(places(found[1])), set()
    if found := re.fullmatch(r"this one leaves (the .+) silent", text):
        return set(), set(places(found[1]))
    if found := re.fullmatch(r"this one plays (the .+), not (the .+)", text):
        return set(places(found[1])), set(places(found[2]))
    moves = re.findall(r"(?:sooner|later)(?:, on|:) (the [^;]+?), not (the [^;]+)", text)
    assert moves, f"no known kind of sentence: {sentence}"
    return {at for to, _ in moves for at in places(to)}, {at for _, away in moves for at in places(away)}


def test_the_words_of_the_trade() -> None:
    """Some pairs as a drummer would say them."""
    said = {
        ("1 e a", "1 e & a"): "“1 e a” leaves the & silent, so its long gap comes after the second stroke.",
        ("1 e & a", "1 & a"): "Both begin on the beat; “1 e & a” adds the e, so its strokes are even.",
        ("(1) & a", "(1) e &"): "“(1) & a” plays the a, not the e, so its long gap comes first.",
        (
            "1 let",
            "1 a",
        ): "Both begin on the beat; “1 let”'s last stroke comes a little sooner, on the let, not the a.",
        ("1 e a", "1 trip let"): "“1 e a”'s second comes sooner: the e, not the trip; its last later: the a, not "
        "the let.",
        ("(1) &", "(1)"): "“(1) &” plays the &; the other is silent.",
        ("1 ta trip ta let ta", "1 e a"): "“1 ta trip ta let ta” has more strokes: six, not three, so its strokes "
        "are even.",
    }
    for (first, other), sentence in said.items():
        assert difference(figure(first), figure(other)).sentence == sentence


@pytest.mark.parametrize("pairs", [PAIRS, tuple(product(ALL_FIGURES[::7], ALL_FIGURES[::5]))], ids=["taught", "any"])
def test_a_sentence_is_short_plain_text(pairs: tuple[tuple[Figure, Figure], ...]) -> None:
    """At most twenty words, a capital first and a full stop last, for every pair there is."""
    for pair in pairs:
        for sentence in (difference(*pair).sentence, difference(*pair, "figure B").sentence):
            assert len(sentence.split()) <= MOST_WORDS == 20, sentence
            assert re.fullmatch(r"([A-Z]|“\(?1)[a-z&',:;“”()1B ]+\.", sentence), sentence


def test_a_sentence_names_the_figure_it_speaks_of() -> None:
    """By the name that it is given, or by its count; only a pair of the longest counts is told without either."""
    for first, other in PAIRS:
        told = difference(first, other, "B").sentence
        assert re.search(r"\bB\b", told) or told == "Both sound the same."
    unnamed = [pair for pair in PAIRS if f"“{pair[0].count}”" not in difference(*pair).sentence]
    assert len([pair for pair in unnamed if difference(*pair).sentence != "Both sound the same."]) <= 2


@pytest.mark.parametrize("pairs", [SMALL, tuple(product(ALL_FIGURES[::3], ALL_FIGURES[::4]))], ids=["taught", "any"])
def test_one_figure_and_the_sentence_give_the_other(pairs: tuple[tuple[Figure, Figure], ...]) -> None:
    """Where one or two strokes differ, a reader with the sentence and either figure can rebuild the other."""
    small = [pair for pair in pairs if difference(*pair).is_small and pair[0].onsets != pair[1].onsets]
    assert len(small) > 500
    for first, other in small:
        more, less = reading(difference(first, other).sentence, first)
        assert set(other.onsets) - less | more == set(first.onsets), difference(first, other).sentence
        assert set(first.onsets) - more | less == set(other.onsets), difference(first, other).sentence


@pytest.mark.parametrize(
    ("one", "other"),
    [("1 a", "1 let"), ("1 e a", "1 trip let"), ("(1) e a", "(1) trip let"), ("1 e & a", "1 trip ta let")],
)
def test_a_twelfth_of_a_beat_is_told(one: str, other: str) -> None:
    """The pairs that lie a twelfth of a beat apart are told by which stroke comes sooner or later, both ways."""
    for first, second in permutations((figure(one), figure(other))):
        sentence = difference(first, second).sentence
        assert "sooner" in sentence or "later" in sentence
        more, less = reading(sentence, first)
        assert set(second.onsets) - less | more == set(first.onsets)


def claim(sentence: str, first: Figure) -> tuple[str, str, str]:
    """What a sentence about many differences claims: its kind, of the first figure, and of the other."""
    text = re.sub(r"^both begin on the [^;]+; ", "", spoken_of(sentence, first))
    text = re.sub(r", so its [^;,]+$", "", text)
    if found := re.fullmatch(r"the other begins on (the .+); this one waits until (the .+)", text):
        return "start", found[2], found[1]
    if found := re.fullmatch(r"this one begins on (the .+); the other waits until (the .+)", text):
        return "start", found[1], found[2]
    if found := re.fullmatch(r"this one has (?:more|fewer) strokes: (\w+), not (\w+)", text):
        return "strokes", found[1], found[2]
    if found := re.fullmatch(r"this one has (\w+) strokes; the other is silent", text):
        return "strokes", found[1], "no"
    if found := re.fullmatch(r"this one is silent; the other has (\w+) strokes", text):
        return "strokes", "no", found[1]
    found = re.fullmatch(r"this one's (\w+) stroke comes (?:a little )?(?:sooner|later), on (the .+), not (.+)", text)
    assert found, sentence
    return found[1], found[2], found[3]


def holds(kind: str, told: str, heard: Figure) -> bool:
    """Whether what is claimed of a figure is true of it."""
    if kind == "strokes":
        return NUMBERS.index(told) == len(heard.onsets)
    if kind == "start":
        return heard.onsets[:1] == places(told)
    stroke = len(heard.onsets) - 1 if kind == "last" else ORDER.index(kind)
    return heard.onsets[stroke] == places(told)[0]


def test_many_differences_are_told_by_one_that_sets_them_apart() -> None:
    """Where more strokes differ the sentence names one thing that is true of one figure and false of the other."""
    assert len(LARGE) > 1000
    for first, other in LARGE:
        kind, mine, its = claim(difference(first, other).sentence, first)
        assert holds(kind, mine, first), difference(first, other).sentence
        assert holds(kind, its, other), difference(first, other).sentence
        assert mine != its
        if kind != "start":
            assert not holds(kind, mine, other)


def gap(told: Figure) -> str:
    """Where the longest silence of a figure lies, worked out anew."""
    marks = [Fraction(0), *told.onsets, Fraction(1)]
    spans = [after - before for before, after in pairwise(marks)]
    if spans[0] == 0 and len(set(spans[1:])) == 1:
        return "its strokes are even"
    place = spans.index(max(spans))
    assert spans.count(max(spans)) == 1, "a long gap was told where there are two"
    if place in (0, len(spans) - 1):
        return "its long gap comes first" if place == 0 else "its long gap comes last"
    return f"its long gap comes after the {ORDER[place - 1]} stroke"


def test_the_gap_lies_where_the_sentence_says() -> None:
    """Whenever a sentence tells of the long gap or of even strokes, its figure has it there and the other has not."""
    told = [(pair, found[1]) for pair in PAIRS if (found := re.search(r", so (its .+)\.$", difference(*pair).sentence))]
    assert len(told) > 300
    for (first, _), shape in told:
        assert gap(first) == shape


def test_the_rest_is_the_same_only_where_it_is() -> None:
    """``The rest is the same`` stands only where the sentence has named every stroke that differs."""
    for pair in PAIRS:
        if difference(*pair).sentence.endswith("the rest is the same."):
            assert difference(*pair).is_small


def test_sounding_the_same_is_said() -> None:
    """A triplet and three quavers of a compound beat can't be told apart by ear, and the sentence says so."""
    assert difference(figure("1 trip let"), figure("1 la li")).sentence == "Both sound the same."


def test_what_differs_lies_where_it_differs() -> None:
    """The strokes to be lit are those that one figure has and the other has not, each way round."""
    for first, other in combinations(FIGURES, 2):
        apart = Difference(first, other)
        assert set(apart.only_first) == set(first.onsets) - set(other.onsets)
        assert set(apart.only_other) == set(other.onsets) - set(first.onsets)
        assert apart.only_first == Difference(other, first).only_other
        assert apart.is_small == (max(len(apart.only_first), len(apart.only_other)) <= FEW)

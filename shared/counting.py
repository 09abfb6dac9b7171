"""Reads bars and figures written as a drummer counts them: ``1 e a 2 & (3) e a 4 trip let``.

What is counted without being played stands in brackets, and each beat begins with its number.  A
``ta`` lies right after the word before it: half-way to the next counted place.  The parser is
total: any text gives either a bar or a ``CountError`` that names the word and its place.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from shared.bars import METERS, Bar, BarError, Meter, meter_for
from shared.errors import UserError
from shared.figures import BETWEEN, COMPOUND_GRIDS, SIMPLE_GRIDS, Figure, Grid

SAME_AS = {"and": "&", "+": "&", "ah": "a", "uh": "a"}
"""Other ways to write a word of the count."""

LONGEST = 400
"""More characters than any bar needs."""

# The ways in which a beat can be meant multiply with its words, so their number must be bounded before they are tried.
MOST_IN_A_BEAT = 8
"""More words than any beat has after its number."""

# Letters and digits apart, so that "1e&a" without spaces reads as it is meant; any other sign stands alone.
_TOKEN = re.compile(r"[0-9]+|[a-z]+|\S", re.IGNORECASE)
# Letters of every script: a level may show the words of any language.
_SHOWN_TOKEN = re.compile(r"[0-9]+|[^\W\d_]+|[^\s()?]")
_WORDS = {word for grid in (*SIMPLE_GRIDS, *COMPOUND_GRIDS) for word in grid.words if word}
_COMPOUND_WORDS = {"la", "li"}
_HINT = "use a beat's number, e & a, trip let, la li or ta; brackets for what is not played"


class CountError(UserError, ValueError):
    """A count that makes no bar.

    ``word`` is the word at fault, ``position`` its first character from 1 (0 where no word is at fault), ``reason``
    the message without them.
    """

    def __init__(self, message: str, word: str = "", position: int = 0) -> None:
        where = f"character {position}, {_shown(word)}: " if position else ""
        super().__init__(where + message)
        self.reason = message
        self.word = word
        self.position = position


SPOKEN = ("e", "&", "a", "trip", "let", "la", "li", BETWEEN)
"""The words of the count, in the order in which a level names what it shows for them."""


Words = tuple[tuple[str, str], ...]
"""Words of the count, each with the one that is shown for it."""


def words_shown(text: str) -> Words:
    """The words shown for those of the count, from a text such as ``e + e``, in the order of ``SPOKEN``.

    Raises ``CountError`` for more words than there are, and for a word that is a number or has a bracket in it.
    """
    shown = text.split()
    for word in shown:
        if any(sign.isdigit() or sign in "()" for sign in word):
            raise CountError(f"{_shown(word)}: a word without digits and brackets, which have a meaning of their own")
    if len(shown) > len(SPOKEN):
        raise CountError(f"{len(shown)} words; write at most {len(SPOKEN)}, for {' '.join(SPOKEN)}")
    return tuple((word, other) for word, other in zip(SPOKEN, shown, strict=False) if word != other)


def as_shown(count: str, words: Words) -> str:
    """A count with other words in place of its own; numbers and brackets stay."""
    if not words:
        return count
    known = dict(words)
    return re.sub(r"[a-z]+|&", lambda found: known.get(found[0], found[0]), count)


def put_back(text: str, words: Words, compound: bool) -> str:
    """A count in which the words that are shown are put back into those that are read, beat by beat.

    A beat that can be read as it stands is left so, and so is one that can be meant in several ways: a word that is
    both shown for one place and read as another, such as the second e of ``1 e + e``, is told by those around it.
    """
    if not words or len(text) > LONGEST:
        return text
    found, end = "", 0
    beat: list[re.Match[str]] = []
    for token in _SHOWN_TOKEN.finditer(text):
        if token[0].isdigit():
            found += _beat_put_back(text, beat, end, token.start(), words, compound)
            end, beat = token.start(), []
        else:
            beat.append(token)
    return found + _beat_put_back(text, beat, end, len(text), words, compound)


def _beat_put_back(text: str, tokens: list[re.Match[str]], start: int, end: int, words: Words, compound: bool) -> str:
    """One beat of a count, from ``start`` to ``end`` of the text."""
    written = [SAME_AS.get(token[0].lower(), token[0].lower()) for token in tokens]
    if len(written) > MOST_IN_A_BEAT or _reads(written, compound):
        return text[start:end]
    meant = [_meanings(token[0].lower(), word, words) for token, word in zip(tokens, written, strict=True)]
    ways = [way for way in product(*meant) if _reads(way, compound)]
    if len(ways) != 1:
        return text[start:end]
    found, at = "", start
    for token, own in zip(tokens, ways[0], strict=True):
        found += text[at : token.start()] + own
        at = token.end()
    return found + text[at:end]


def _meanings(written: str, word: str, words: Words) -> list[str]:
    """The words of the count that something written can stand for: ``word``, and those for which it is shown."""
    own = [word] if word in _WORDS else []
    return list(dict.fromkeys((*own, *(other for other, shown in words if shown.lower() == written))))


def _reads(words: Iterable[str], compound: bool) -> bool:
    """Whether these words count a beat, in this order."""
    try:
        # Asked of the parser itself, so that there is one grammar of counts and not two.
        parse_figure(" ".join(("1", *words)), compound)
    except CountError:
        return False
    return True


@dataclass(frozen=True)
class _Word:
    text: str
    written: str
    position: int
    silent: bool

    def error(self, message: str) -> CountError:
        return CountError(message, self.written, self.position)


def parse_bar(text: str, meter: Meter | None = None) -> Bar:
    """Read a bar.

    Without a meter, the number of beats and the words used give it (one beat alone makes a bar of
    1/4 or 3/8).  Raises ``CountError``.
    """
    beats = _beats(list(_words(text)))
    compound = meter.compound if meter else _is_compound(beats)
    figures = tuple(_figure(words, compound) for words in beats)
    if meter is None:
        return Bar(_meter_for(beats, compound), figures)
    if len(figures) != meter.beats:
        raise CountError(
            f"{meter} has {meter.beats} beats; found {len(figures)}: "
            f"a bar is counted {' '.join(str(beat + 1) for beat in range(meter.beats))}, a silent beat ({meter.beats})"
        )
    return Bar(meter, figures)


def parse_beats(text: str, meter: Meter) -> tuple[Figure | None, ...]:
    """Read the beats of a bar of which some may be left out, as ``3 e a 4``; None for those.

    Raises ``CountError``.
    """
    found: list[Figure | None] = [None] * meter.beats
    for words in _beats(list(_words(text)), whole=False):
        number = words[0]
        if int(number.text) > meter.beats:
            raise number.error(f"{meter} has {meter.beats} beats")
        found[int(number.text) - 1] = _figure(words, meter.compound)
    return tuple(found)


def parse_figure(text: str, compound: bool | None = None) -> Figure:
    """Read one figure, written on beat 1.

    ``compound`` says which kind of beat it fills; without it the words tell.  Raises ``CountError``.
    """
    beats = _beats(list(_words(text)))
    if len(beats) > 1:
        raise beats[1][0].error("a figure fills one beat; write it on beat 1 alone")
    return _figure(beats[0], _is_compound(beats) if compound is None else compound)


def _words(text: str) -> Iterator[_Word]:
    """The words of a count in order, each marked as silent where it stands in brackets."""
    if len(text) > LONGEST:
        raise CountError(f"the count has {len(text)} characters; a bar needs at most {LONGEST}")
    bracket: _Word | None = None
    for match in _TOKEN.finditer(text):
        written = match[0]
        # The word as written is kept beside the one that is meant: an error quotes what stands there.
        word = SAME_AS.get(written.lower(), written.lower())
        token = _Word(word, written, match.start() + 1, bracket is not None)
        if written in "()":
            bracket = _bracket(token, bracket)
        elif word in _WORDS or (written.isascii() and written.isdigit()):
            yield token
        else:
            raise token.error(f"not a word of the count; {_HINT}")
    if bracket:
        raise bracket.error("this bracket is never closed; write ) after what is not played")


def _bracket(token: _Word, open_one: _Word | None) -> _Word | None:
    """The bracket that is open after this one."""
    if token.text == "(" and open_one:
        raise token.error("a bracket inside a bracket; close the first one before it")
    if token.text == ")" and not open_one:
        raise token.error("no bracket is open here; write ( before what is not played")
    return token if token.text == "(" else None


def _beats(words: list[_Word], whole: bool = True) -> list[list[_Word]]:
    """The words of each beat; ``whole`` where none may be left out."""
    if not words:
        raise CountError("nothing is counted; write a bar such as 1 e a 2 & 3 e & a 4")
    beats: list[list[_Word]] = []
    expected = 1
    for word in words:
        if not word.text.isdigit():
            if not beats:
                raise word.error("a beat begins with its number; write (1) for a beat that begins with silence")
            beats[-1].append(word)
        elif word.text == str(expected) or (not whole and int(word.text) > expected):
            beats.append([word])
            expected = int(word.text) + 1
        elif whole:
            raise word.error(f"beat {expected} comes next; write ({expected}) for a silent beat")
        else:
            raise word.error("count on in time order; each beat of a bar comes once")
    return beats


def _is_compound(beats: list[list[_Word]]) -> bool:
    """Tell compound beats by their words; only a word of one kind or the other can say."""
    words = [word for beat in beats for word in beat[1:] if word.text != BETWEEN]
    if not words and (lone := next((word for beat in beats for word in beat[1:]), None)):
        raise lone.error("this ta can mean several places; add the place after it, such as (e), (trip) or (la)")
    # One word is enough: words of both kinds are refused later, by the beat in which they meet.
    return bool(words) and words[0].text in _COMPOUND_WORDS


def _meter_for(beats: list[list[_Word]], compound: bool) -> Meter:
    try:
        return meter_for(len(beats), compound)
    except BarError as error:
        # The word to point at is the number of the first beat too many.
        most = max(meter.beats for meter in METERS.values())
        raise beats[most][0].error(str(error)) from None


def _figure(words: list[_Word], compound: bool) -> Figure:
    grid = _grid(words, compound)
    slots = []
    last = -1
    for word in words:
        slot = last + 1 if word.text == BETWEEN else _slot(grid, word)
        # After the last place the remainder is 0, the place of the number: no ta can stand there either.
        if word.text == BETWEEN and grid.words[slot % grid.divisions] != BETWEEN:
            raise word.error("no place lies between here; a ta follows a counted place")
        if slot <= last:
            raise word.error("out of order in its beat; count on in time order")
        last = slot
        if not word.silent:
            slots.append(slot)
    return Figure(tuple(Fraction(slot, grid.divisions) for slot in slots), compound)


def _grid(words: list[_Word], compound: bool) -> Grid:
    """The coarsest grid whose words count this beat; raises for words that do not go together."""
    fitting = list(COMPOUND_GRIDS if compound else SIMPLE_GRIDS)
    for word in words[1:]:
        left = [grid for grid in fitting if word.text in grid.words]
        if not left:
            raise word.error(_clash(word, words, compound))
        fitting = left
    if len(fitting) > 1 and (lone := [word for word in words if word.text == BETWEEN]):
        raise lone[0].error("this ta can mean two places; add the place after it, such as (e) or (trip)")
    # The grids come coarsest first, and a figure is one and the same on any grid that holds it.
    return fitting[0]


def _clash(word: _Word, words: list[_Word], compound: bool) -> str:
    if compound:
        return "does not count a dotted-crotchet beat; use la li and ta"
    if word.text in _COMPOUND_WORDS:
        return "counts a dotted-crotchet beat, and this bar is in crotchets; use e & a or trip let"
    before = next(other.written for other in words[1:] if other.text != BETWEEN)
    return f"does not go with {before!r} in one beat; a beat is divided in one way"


def _slot(grid: Grid, word: _Word) -> int:
    return 0 if word.text.isdigit() else grid.words.index(word.text)


def _shown(word: str) -> str:
    # A page that was pasted by mistake must not fill the message.
    return repr(word if len(word) <= 24 else word[:23] + "…")

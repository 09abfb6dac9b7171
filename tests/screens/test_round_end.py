"""The end of a round and the round as music: to see, to hear, to fill in and to save."""

import wave
from pathlib import Path

import pytest

from game.screens.home.home import Home
from game.screens.practice.question import Practice, open_practice
from game.screens.practice.round_end import RoundEnd
from game.screens.practice.round_piece import RoundPiece
from game.sessions.practice.scoring import RULE
from game.sessions.progress.standing import HORIZONS, Standing
from game.sessions.settings.bindings import TILE_KEYS
from game.widgets.notation import COUNTED
from game.wording import in_words
from shared.difference import difference
from tests.screens.window import NOW, Opened, Window, faults


def ended(window: Window, wrong_bars: int) -> Window:
    """The end of a round whose first bars were wrong throughout."""
    window.show(open_practice(window.context), Home(window.context))
    with window.unseen():
        for bar in range(10):
            (window.say_wrong if bar < wrong_bars else window.say_right)()
            window.press("return")
            window.press("return")
    window.frames()
    assert isinstance(window.top, RoundEnd)
    return window


@pytest.fixture
def piece(window: Window) -> Window:
    """The round as music, its first bar missed."""
    ended(window, 1).press("m")
    assert isinstance(window.top, RoundPiece)
    return window


def test_the_rule_and_the_points_are_told(window: Window) -> None:
    """One bar of ten wrong: 360 of 400 points, and the rule in words."""
    texts = ended(window, 1).texts()
    assert "36 of 40 beats right, 10 hearings of 10 bars." in texts
    assert RULE in texts
    assert window.widget("score").text == "360"
    assert "of 400 points. Your first round" in texts


def test_what_was_brought_back_is_told(window: Window) -> None:
    """Figures that had sunk before a round are told to be firm again after it, where they are."""
    figures, then = tuple(figure.count for figure in window.context.level.figures), NOW - 5 * 86_400
    recall, due = tuple((0.99,) * len(figures) for _ in HORIZONS), (NOW - 1,) * len(figures)
    kept = Standing("stage-3", then, then, figures, (9,) * len(figures), recall, due)
    window.context.records.keep_derived(window.context.player, "standing stage-3", kept.kept())
    ended(window, 0).frames(20)
    standing = window.context.kept_standing(window.context.level)
    assert standing
    assert kept.sunk(NOW) == figures
    firm = sum(standing.firm(window.clock.now))
    assert firm > 1
    assert f"{in_words(firm, 'figure').capitalize()} are firm again." in window.widget("told").text


def test_the_manual_tells_the_rule() -> None:
    """The README has the rule as the page has it."""
    assert RULE in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_what_was_mixed_up_stands_with_its_sentence(window: Window) -> None:
    """Each mix-up is drawn and told what to listen for."""
    mix_up = ended(window, 3).top.mix_ups[0]
    assert mix_up.said
    assert difference(mix_up.heard, mix_up.said).sentence in window.texts()


def test_a_perfect_page_tells_what_got_firmer_and_what_is_next(window: Window) -> None:
    """After a full score the figures that rose are there, and the next axis is named."""
    texts = ended(window, 0).texts()
    assert "Firmer than before" in texts
    assert "All 400 points. Next" in texts
    assert len([name for name in window.names() if name.startswith("firm ")]) >= 4


@pytest.mark.parametrize("closed", [False, True])
def test_a_level_that_holds_is_to_be_closed(window: Window, closed: bool) -> None:
    """The end of a round offers the closing round where home would; a level that was closed has another round."""
    context, level = window.context, window.context.level
    figures = tuple(figure.count for figure in level.figures)
    if closed:
        context.keep_closed(level, NOW)
    context.working_out = lambda _asked: iter(())
    context.kept_standing = lambda asked: Standing(
        asked.name, NOW, NOW, figures, (9,) * len(figures), ((0.99,) * len(figures),) * len(HORIZONS)
    )
    ended(window, 1)
    window.frames(3)
    assert window.widget("again").text == ("Another round" if closed else "The closing round")
    window.press("return")
    assert isinstance(window.top, Practice)
    assert window.top.round.closing is not closed


def test_bests_compare_rounds_of_as_many_beats(window: Window) -> None:
    """The second round is held against the first, which asked as many beats by the same rule."""
    ended(window, 2)
    assert "Your first round of 40 beats" in window.texts()
    window.press("return")
    ended(window, 1)
    assert "A personal best: 40 more than before." in window.texts()


def test_missed_beats_are_left_out_of_the_piece(piece: Window) -> None:
    """The whole round sounds as one passage, with a groove under it and silence where a beat was missed."""
    piece.press("space")
    passage = piece.context.sound.passage
    assert passage.bars == passage.figure_bar + 10
    figures = {stroke.bar for stroke in passage.strokes if stroke.figure}
    assert figures == set(range(passage.figure_bar + 1, passage.bars))
    assert {"kick", "closed-hat"} <= {stroke.instrument for stroke in passage.strokes}


def test_a_gap_that_is_named_fills(piece: Window) -> None:
    """A wrong name leaves the gap and says so; the right one fills it, and the cursor goes on to the next."""
    figures, bar = piece.context.level.figures, piece.top.chart.bars[0]
    heard = bar.figures[0]
    wrong = next(figure for figure in figures if figure != heard)
    piece.press(TILE_KEYS[figures.index(wrong)])
    assert "another one" in piece.texts()
    piece.press(TILE_KEYS[figures.index(heard)])
    assert piece.top.gap == (0, 1)
    assert "1 of 4 gaps filled" in piece.texts()
    for figure in bar.figures[1:]:
        piece.press(TILE_KEYS[figures.index(figure)])
    assert not piece.top.chart.gaps
    assert not [name for name in piece.names() if name.startswith(("gap", "tile"))]


def test_a_gap_is_heard_in_its_bar(piece: Window) -> None:
    """B plays the bar of the chosen gap with what was missed in it."""
    piece.press("b")
    passage = piece.context.sound.passage
    assert {stroke.beat for stroke in passage.strokes if stroke.figure} == {1, 2, 3, 4}


def test_the_piece_is_saved_as_sound_and_as_a_page(piece: Window) -> None:
    """V writes the sound, ten bars long and more, X a page; the line says where."""
    piece.press("v")
    assert "Saved as" in piece.texts()
    piece.press("x")
    folder: Path = piece.context.data_folder / "reports"
    (sound,), (page,) = folder.glob("*.wav"), folder.glob("*.pdf")
    with wave.open(str(sound)) as file:
        seconds = file.getnframes() / file.getframerate()
    assert seconds > 40 * 60 / piece.top.setting.tempo
    assert page.read_bytes().startswith(b"%PDF-")


def test_saving_leaves_the_title(piece: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a file was saved is said under the title of the page, and goes with the next key."""
    # A place of the same few letters on every machine: one of a long name takes the room of the title too.
    monkeypatch.chdir(tmp_path)
    piece.context.data_folder = Path("here")
    piece.press("x")
    title, news = piece.widget("head title"), piece.widget("news")
    assert title.text == "The round as music"
    assert not title.rect.colliderect(news.rect)
    piece.press("tab")
    assert "news" not in piece.names()


@pytest.mark.parametrize("missed", [0, 10])
def test_the_piece_is_read_in_a_small_window(opened: Opened, missed: int) -> None:
    """In the smallest window the ten bars are as large as small print, a millimetre a staff space at 150 to the inch.

    The size of a pocket score (common practice, no source).
    """
    window = ended(opened((1024, 640)), missed)
    window.press("m")
    assert {window.widget(f"bar {bar}").space >= 6 for bar in range(10)} == {True}
    assert list(faults(window.app)) == []


def test_the_bar_that_sounds_is_marked(piece: Window) -> None:
    """The mark goes from bar to bar."""
    piece.press("space")
    passage = piece.context.sound.passage
    for bar in (0, 4, 9):
        piece.device.where = passage.time_of_beat(passage.figure_bar + bar, 2)
        piece.frames(2)
        assert [name for name in piece.names() if name.startswith("bar ") and piece.widget(name).sounds] == [
            f"bar {bar}"
        ]


def test_figures_lie_over_no_words_in_huge_type(window: Window) -> None:
    """What to aim at next is drawn under its words, high enough to be read."""
    ended(window, 10).context.change_settings(type_size=200)
    window.lay_out((1024, 640))
    look = window.app.look
    assert look.type_factor > 1
    assert window.widget("aim figures").rect.h >= look.u(COUNTED)
    assert list(faults(window.app)) == []

"""A lesson on the projector: meet what is new, play, collect hands, reveal, next.

The space bar leads through it, and so do the two keys of a presenter's remote: forward (Page down, Right) and back
(Page up, Left).  Its key for a dark picture sends B or a full stop.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import pygame
from pygame import Rect, Surface

from game.engraving.surface import fit
from game.learning import Answer
from game.learning.coach import Coach
from game.learning.evidence import as_of
from game.records import Player
from game.screens.answering.answering import PlacesScreen
from game.screens.base import Heading, Key
from game.screens.context import Context, give_back
from game.screens.lesson.end import open_class_end
from game.screens.lesson.own_bar import OwnBar
from game.screens.notices.dialog import Dialog
from game.sessions import SessionError
from game.sessions.hearing.hearing import AS_PLAYED, AS_SOME_SAID, as_answered, beats_in_turn, one_beat, whole_bar
from game.sessions.hearing.hearing import in_turn as hearings_in_turn
from game.sessions.hearing.listening import Listening
from game.sessions.lesson.ballots import Had, Hands, Saying
from game.sessions.lesson.duration import BARS
from game.sessions.lesson.known import Known
from game.sessions.lesson.lesson import GUARD_SECONDS, ClassSession, Stage, Step
from game.sessions.letters import LETTERS
from game.sessions.practice.meeting import Meeting
from game.widgets import lettering
from game.widgets.base import Act, Widget
from game.widgets.boxes import columns, rows
from game.widgets.classroom import (
    BeatBox,
    BigChoice,
    BigLabel,
    Halves,
    Outcome,
    SaidTile,
    VoteTile,
    count_size,
    fitting,
    least_space,
    letter_size,
    room_stave,
    sign_width,
    vote_tiling,
)
from game.widgets.controls import TARGET, Button
from game.widgets.keycaps import title
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, Tiling, tile_layout
from game.wording import number_word
from shared.difference import difference
from shared.figures import Figure
from shared.levels import Level, spelling_in
from shared.notation.engraved import INK, Layout
from shared.orchestration import Setting

KEYS = LETTERS.lower()
"""The keys of the figures: their letters."""

DIGITS = "0123456789"

BLANK = ("b", ".")
"""The keys that a remote's button for a dark picture sends; neither is a figure's key."""

SAYS = {
    Step.MEET: "hear it",
    Step.BESIDE: "beside one like it",
    Step.ASK: "to the bar",
    Step.PLAY: "play",
    Step.COLLECT: "collect",
    Step.NEXT_BEAT: "next",
    Step.CLOSE: "hands down",
    Step.REVEAL: "reveal",
    Step.HAD: "who had it",
    Step.NEXT: "next bar",
    Step.NOTHING: "",
}

HAD_WORDS = {Had.MOST: "Most", Had.HALF: "Half", Had.FEW: "Few"}

IN_TURN = (AS_PLAYED, AS_SOME_SAID)
"""The words for what sounds where a figure and the first that was said for it are heard in turn."""

MOST_SAID = 2
"""How many wrong figures are set beside the one that was played; the others are told by their letters."""

TOO_QUICK = "Once more, to reveal."

LARGEST_MET = 40
"""The largest staff space of a figure that is met, in units."""


def open_class_room(
    context: Context, room: Player, teams: Sequence[str] = (), *, one_beat: bool = False, all_teams: bool = False,
    known: Sequence[Figure] | None = None, bars: int = BARS,
) -> "ClassRoom":  # fmt: skip
    """Begin a lesson with a class, whose own coach knows all its answers.

    ``known`` are the figures that the class has met; without it all are asked from the first bar.  After so many
    ``bars`` it is asked whether to go on.
    """
    level, seed, now = context.level, context.seed(), context.now()

    def coach_on(some: Level, at: float) -> Coach:
        return Coach.replay(some, as_of(at, context.records.answers(room)), seed)

    def coach_of(figures: Sequence[Figure], at: float) -> Coach:
        some = replace(
            level, figures=tuple(figures), new=tuple(one for one in level.new if one in figures),
            order=tuple(one for one in level.order if one in figures),
        )  # fmt: skip
        # On these figures alone, else it would ask what the class has never met; all that was answered still counts.
        return coach_on(some, at)

    def keep(question: str, answers: tuple[Answer, ...]) -> None:
        context.records.append(room, question, answers)

    met = None if known is None or len(known) == len(level.figures) else Known(level, known, coach_of)
    coach = coach_of(met.figures, now) if met and len(met.figures) > 1 else coach_on(level, now)
    session = ClassSession(coach, keep, now, teams, one_beat=one_beat, all_teams=all_teams, known=met)
    return ClassRoom(context, room, session, bars)


class EndDialog(Dialog):
    """Asks whether the lesson is to end, for the keys of a remote too: forward ends it, back goes on."""

    go_key = "page down"

    def keys(self) -> Sequence[Key]:
        return (
            *super().keys(),
            Key("page down", "end the lesson", self._act),
            Key("page up", "go on", self._back),
            # The button for a dark picture, pressed by mistake, must not end the lesson.
            *(Key(name, "", self._back, shown=False) for name in BLANK),
        )


class ClassRoom(PlacesScreen):
    """The lesson of a class (``room``); so many ``bars`` are planned."""

    def __init__(self, context: Context, room: Player, session: ClassSession, bars: int = BARS) -> None:
        super().__init__(context)
        self.room = room
        self.session = session
        self._bars = bars
        self._begun = context.now()
        self._minute_shown = 1
        self._framed = ""
        self.beat = 0
        self._pace = Listening()
        self._dark = False
        self._sign_room = 0
        self.focus = "step"

    @property
    def places(self) -> Hands:
        return self.session.hands

    @property
    def tile_keys(self) -> Sequence[str]:
        return KEYS

    @property
    def offered(self) -> Sequence[Figure]:
        return self.session.question.choices

    def entered(self) -> None:
        self.context.tune()

    def left(self) -> None:
        super().left()
        give_back(self.context)

    def heading(self) -> Heading:
        number = self.session.number
        bar = f"Bar {number} of {self._bars}" if number <= self._bars else f"Bar {number}"
        self._minute_shown = self.minute
        return Heading(bar, self.room.name, f"{self.context.level.title}\nMinute {self._minute_shown}")

    @property
    def minute(self) -> int:
        """The minute that the lesson is in, from 1 on."""
        return int(self.context.now() - self._begun) // 60 + 1

    def tick(self, now: float) -> list[Rect]:
        self.stale = self.stale or (self.minute, self._sounding) != (self._minute_shown, self._framed)
        return super().tick(now)

    @property
    def _sounding(self) -> str:
        """The word for what sounds; empty where nothing does, and in a count-in."""
        moment = self.loudspeaker.moment()
        return moment.caption if moment and moment.beats is not None else ""

    def keys(self) -> Sequence[Key]:
        session = self.session
        collecting, shown = session.stage is Stage.COLLECT, session.stage is Stage.SHOWN
        forward, back = self._forward, self._back
        says = "next bar" if session.stage is Stage.HAD else "both in turn" if shown else "play again"
        # Some remotes send Right and Left: where these choose nothing on the page, they lead on and back.
        arrows = (forward, back) if session.one_beat or not (collecting or shown) else (
            partial(self._step, 1), partial(self._step, -1))  # fmt: skip
        hidden = (
            Key("space" if session.one_beat else "page down", "", forward, shown=False),
            # As on every page, Enter does the main act.
            Key("return", "", forward, shown=False),
            Key("right", "", arrows[0], shown=False),
            Key("left", "", arrows[1], shown=False),
            *(Key(digit, "", self._types(int(digit)), shown=False) for digit in DIGITS if self._takes_digits),
            *(Key(name, "", self._too_soon, shown=False) for name in self._early),
            *(Key(name, "", self._darken, shown=False) for name in BLANK),
        )
        # At the foot only where there is something to be taken back: the foot has room for few keys.
        undo = Key("backspace", "take back", self.take_back, shown=session.stage in (Stage.COLLECT, Stage.READY))
        # Z: one of the letters that no figure has, so that it can never be a vote.
        own = Key("z", "play it yourself", self._play_own, shown=session.stage is Stage.LISTEN)
        # Nothing is played again that was not heard: there both keys would do the same.
        again = Key("page up", says, back, shown=session.next_step not in (Step.MEET, Step.PLAY))
        return (*self._letter_keys(), Key(self._step_key, self._step_says, forward), again, own,
                *(self._reveal_keys() if shown else () if session.one_beat else (undo,)), *hidden,
                Key("escape", "end the lesson", self._leave))  # fmt: skip

    @property
    def _step_key(self) -> str:
        """The key that is named for the next step: by remote alone the teacher has no space bar at hand."""
        return "page down" if self.session.one_beat else "space"

    @property
    def _step_says(self) -> str:
        return "change" if self.session.stage is Stage.HAD else SAYS[self.session.next_step]

    @property
    def _votes(self) -> bool:
        """Whether letters are votes now."""
        return self.session.stage is Stage.COLLECT and not self.session.one_beat

    @property
    def _early(self) -> str:
        """The keys of votes while none are taken, which say what comes first; after the reveal some have other acts."""
        if self._votes or self.session.stage in (Stage.SHOWN, Stage.HAD):
            return ""
        return KEYS if self._takes_digits else KEYS + DIGITS

    @property
    def _takes_digits(self) -> bool:
        return self.session.stage in (Stage.COLLECT, Stage.READY) and not self.session.one_beat

    def _too_soon(self) -> Next:
        """A letter or a number was pressed while none is taken."""
        forward = title(self._step_key)
        if self.session.one_beat:
            self.told = f"By remote no letters are typed. {forward}: {self._step_says}."
        elif self.session.stage is Stage.READY:
            self.told = f"Hands are down. {forward}: reveal; Backspace: more hands."
        else:
            self.told = f"Not yet. {forward}: {self._step_says}."
        return None

    def _letter_keys(self) -> tuple[Key, ...]:
        """While letters are votes the foot tells so; a click there, which is no vote, says it in full."""
        if not self._votes:
            return ()
        first, last = KEYS[0], KEYS[len(self.offered) - 1]
        return (
            Key(first, "the letter most show", self._tell_letters, cap=f"{title(first)} to {title(last)}"),
            # The key itself votes: of two keys of one name the later acts.
            Key(first, "", partial(self.pick, self.offered[0]), shown=False),
        )

    def _tell_letters(self) -> Next:
        self.told = "Press the letter that most show."
        return None

    def _reveal_keys(self) -> tuple[Key, ...]:
        return (
            Key("a", "the bar", self._hear_bar),
            Key("o", "one beat", self._hear_beat),
            Key("s", "slower", self._hear_slower),
            # At the foot only where there is another to look at.
            *((Key("right", "other beat", partial(self._step, 1), cap="Left Right"),) if self._other_beats else ()),
        )

    @property
    def _other_beats(self) -> bool:
        return len(self.session.question.asked) > 1 and not self.session.one_beat

    def handle(self, event: pygame.Event) -> Next:
        if self._dark and event.type in (pygame.KEYDOWN, pygame.MOUSEBUTTONDOWN):
            # Any key brings the picture back, and does nothing else: it was pressed to see the page.
            self._dark, self.stale = False, True
            return None
        return super().handle(event)

    def paint(self, canvas: Surface, look: Look) -> None:
        if self._dark:
            canvas.fill("black")
        else:
            super().paint(canvas, look)

    def _play_own(self) -> Next:
        """Let the teacher's own pad, drum or keys play the bar."""
        if self.session.stage is not Stage.LISTEN:
            return None
        self.loudspeaker.stop()
        session = self.session
        figures = session.coach.level.figures
        return Push(
            OwnBar(self.context, self.room.name, figures, lambda bar, at: session.put(bar, at, self.context.now()))
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        self._framed = self._sounding
        match self.session.stage:
            case Stage.MEET:
                return self._meeting(look, box)
            case Stage.SHOWN | Stage.HAD:
                return self._shown(look, box)
        return self._asking(look, box)

    def _meeting(self, look: Look, box: Rect) -> list[Widget]:
        """The new figure, large; then beside the one it is most like, with what tells them apart."""
        session, level = self.session, self.context.level
        # The first key lets the new figure be heard alone; from the second on its rival stands beside it.
        beside = session.rival if session.met > 1 else None
        shown = [figure for figure in (session.meets[0], beside) if figure]
        size, beats = count_size(look), level.meter.beats
        told = session.sentence(self._name(session.meets[0])) if beside else "It comes on every beat: count along."
        told = self.told or told
        high = lettering.line_height(size) * (2 if beside else 1)
        ruler, figures, sentence, buttons = rows(box, [look.u(30), None, high, look.u(TARGET)], look.u(12))
        cells = columns(figures, [None] * len(shown), look.u(24))
        room = cells[0].w - 2 * sign_width(look), cells[0].h - lettering.line_height(size) - look.u(20)
        layouts = [tile_layout(figure, spelling_in(level, figure)) for figure in shown]
        # Rather without the count than too small to be read from the last row.
        if fit(layouts, *room) < least_space(look, counted=True):
            layouts = [tile_layout(figure, spelling_in(level, figure), count=False) for figure in shown]
        space = min(fit(layouts, *room), look.u(LARGEST_MET))
        words = [fitting(look, cells[0].w - look.u(18), f"{name}: {level.named(figure)}", name)
                 for name, figure in zip(("New", "Known"), shown, strict=False)]  # fmt: skip
        step, again, _ = columns(buttons, [look.u(330), look.u(250), None], look.u(20))
        return [
            *(SaidTile(f"figure {k}", cell, self._sign(figure), words[k], layout, space, right=True,
                       sounds=self._framed == figure.count)
              for k, (figure, cell, layout) in enumerate(zip(shown, cells, layouts, strict=True))),
            self.even_ruler(look, ruler, [ruler.x + ruler.w * k // beats for k in range(beats)], ruler.right,
                            lambda: ("", self.where()[1])),
            BigLabel("sentence", sentence, told, size),
            self._step_button(step),
            *([Button("again", again, "Play again", self._back, key="page up")] if session.met else []),
        ]  # fmt: skip

    def _asking(self, look: Look, box: Rect) -> list[Widget]:
        high = lettering.line_height(letter_size(look))
        ruler, bar, prompt, tiles = rows(box, [look.u(30), high, high, None], look.u(10))
        boxes = columns(bar, [None] * self.context.level.meter.beats, look.u(12))
        return [
            # The mark without its word: in large letters the page says already what is to be done.
            self.even_ruler(look, ruler, [cell.x for cell in boxes], boxes[-1].right, lambda: ("", self.where()[1])),
            *(
                BeatBox(f"box {k}", cell, self._of_team(look, cell, k), *self._collected(k))
                for k, cell in enumerate(boxes)
            ),
            *self._prompt(look, prompt),
            *self.tiles(look, tiles, look.u(6)),
        ]

    def _of_team(self, look: Look, cell: Rect, beat: int) -> str:
        """The number of a beat and, where one team alone is asked, the team, for its ears to be there."""
        ballots = self.session.hands.of_beat(beat)
        if not self.session.teams or len(ballots) != 1:
            return str(beat + 1)
        (poll,) = ballots
        # Beside it stands the mark of what was collected.
        return fitting(look, cell.w - look.u(40) - count_size(look),
                       f"{beat + 1} {self.session.teams[poll.team]}", str(beat + 1))  # fmt: skip

    def _collected(self, beat: int) -> tuple[str, str]:
        """A beat before the reveal: how many of the room were asked, its state."""
        session = self.session
        if beat not in session.question.asked:
            return "", "groove"
        ballots = session.hands.of_beat(beat)
        state = self.place_state(tuple(ballots), session.stage is Stage.COLLECT)
        taken = sum(bool(ballot.hands) for ballot in ballots.values())
        if len(ballots) > 1:
            return f"{taken}/{len(ballots)}" if taken else "", state
        return "tick" if taken else "", state

    def _prompt(self, look: Look, box: Rect) -> list[Widget]:
        words, step = columns(box, [None, look.u(280 if self.session.one_beat else 230)], look.u(20))
        button = Rect(step.x, step.centery - look.u(TARGET) // 2, step.w, look.u(TARGET))
        return [
            BigLabel("prompt", words, self.told or self._says(), letter_size(look), "warn" if self.told else "ink"),
            self._step_button(button),
        ]

    def _step_button(self, box: Rect) -> Button:
        return Button("step", box, self._step_says.capitalize(), self._forward, main=True, key=self._step_key)

    def _says(self) -> str:
        session = self.session
        place = session.hands.place
        team = f"{session.teams[place.team]}, beat" if session.teams else "Beat"
        match session.stage:
            case Stage.LISTEN if session.one_beat:
                where = f"{team} {place.beat + 1}"
                return f"{where}: which?" if session.hands.hearings else f"{where}: listen"
            case Stage.LISTEN:
                return "Which figures?" if session.hands.hearings else "Listen."
            case Stage.COLLECT if session.one_beat:
                return f"{team} {place.beat + 1}: letters up"
            case Stage.COLLECT:
                return f"{team} {place.beat + 1}: {self._typed() or 'hands up'}"
        return "Hands down."

    def _typed(self) -> str:
        """How many hands were typed, not for what: the room is not to follow those who answered first."""
        ballot = self.session.hands.ballot
        count = sum(ballot.hands.values())
        if ballot.counted:
            return f"{count} hand" if count == 1 else f"{count} hands"
        return "taken" if ballot.hands else ""

    def tiling(self, look: Look, box: Rect, gap: int) -> tuple[Tiling, Sequence[Layout]]:
        self._sign_room = sign_width(look) + look.u(4)
        written = [(figure, spelling_in(self.context.level, figure)) for figure in self.offered]
        counted = [tile_layout(figure, spelling) for figure, spelling in written]
        bare = [tile_layout(figure, spelling, count=False) for figure, spelling in written]
        return vote_tiling(look, box, counted, bare, gap)

    def tile(self, figure: Figure, cell: Rect, layout: Layout, plan: Tiling, key: str) -> VoteTile:
        return VoteTile(
            f"tile {key}", cell, layout, plan.space, plan.line, partial(self.pick, figure), chosen=False,
            sign=key.upper(), left=self._sign_room, key=key if self._votes else "",
        )  # fmt: skip

    # The reveal

    def _shown(self, look: Look, box: Rect) -> list[Widget]:
        question = self.session.question
        size = count_size(look)
        low = lettering.line_height(letter_size(look)) + look.u(6)
        sentence = lettering.line_height(size) * 2
        beside = max(low + lettering.line_height(size), round(box.h * 0.27))
        ruler, bar, outcomes, apart, told, buttons = rows(
            box, [look.u(24), None, low, beside, sentence, look.u(TARGET)], look.u(8)
        )
        beats = question.bar.meter.beats
        tones = [INK if k in question.asked else GIVEN for k in range(beats)]
        stave, layout = room_stave(look, self.context.level, question.bar.figures, tones, bar)
        # Too small for the last row in one line: then it is drawn in two halves, over which no ruler fits.
        dense = stave.space < least_space(look, counted=bool(layout.words))
        spans = columns(bar, [None] * beats, 0) if dense else [stave.span(layout, k) for k in range(beats)]
        return [
            *([Halves("halves", bar, layout)] if dense else self.on_staff(look, stave, layout, ruler)),
            *(self._outcome(look, spans[beat], outcomes, beat, not layout.words) for beat in question.asked),
            *self._apart(look, apart),
            *self._told_below(look, told),
            *self._reveal_buttons(look, buttons),
        ]

    def _outcome(self, look: Look, span: Rect, box: Rect, beat: int, numbered: bool) -> Outcome:
        cell = Rect(span.x + look.u(4), box.y, span.w - look.u(8), box.h)
        heard = self.session.question.bar.figures[beat]
        tally, right = self._tally(beat)
        number = str(beat + 1) if numbered else ""
        return Outcome(
            f"outcome {beat}",
            cell,
            number,
            self._sign(heard),
            tally,
            right,
            beat == self.beat,
            partial(self._look_at, beat),
        )

    def _tally(self, beat: int) -> tuple[str, bool | None]:
        """Of how many of the room a beat was right, and whether of most."""
        session = self.session
        heard = session.question.bar.figures[beat]
        said = session.said(beat)
        if not said:
            return "", None
        right = next((one for one in said if one.figure == heard), None)
        if session.teams and session.all_teams:
            # Each team is one voice, however many sit in it.
            count = len(right.teams) if right else 0
            return f"{count}/{len(session.teams)}", 2 * count > len(session.teams)
        hands = sum(one.hands for one in said)
        if not hands:
            return (self._asked_of(beat) or "right", True) if right else (f"said {self._sign(said[0].figure)}", False)
        # Right for the room where no other figure had more hands.
        return f"{right.hands if right else 0}/{hands}", bool(right) and said[0] is right

    def _asked_of(self, beat: int) -> str:
        """The team that a beat was asked of; empty where the whole room was."""
        (poll,) = self.session.hands.of_beat(beat)
        return self.session.teams[poll.team] if self.session.teams else ""

    @property
    def _compared(self) -> tuple[Figure, list[tuple[Figure, tuple[str, ...]]]]:
        """The figure on the beat that is looked at, and what it is set beside: what was said, or could well be.

        Each has words that say who said it, and shorter ones for where these don't fit.
        """
        session = self.session
        heard = session.question.bar.figures[self.beat]
        said = [one for one in session.said(self.beat) if one.figure != heard]
        if said:
            return heard, [(one.figure, self._who(one)) for one in said]
        like = session.likely(self.beat)
        return heard, [(like, ("easily taken for it", "like it"))] if like else []

    def _who(self, one: Saying) -> tuple[str, ...]:
        """Who said a figure: so many hands, or these teams."""
        if self.session.teams and one.teams:
            names = ", ".join(self.session.teams[team] for team in one.teams)
            count = len(one.teams)
            return f"said by {names}", f"by {names}", f"{count} teams" if count > 1 else "1 team"
        return (f"said by {one.hands}", f"by {one.hands}") if one.hands else ("said by most", "by most")

    def _apart(self, look: Look, box: Rect) -> list[Widget]:
        """The figure that was played beside those that were said, the largest mix-up first."""
        heard, others = self._compared
        level = self.context.level
        beat = self.beat + 1
        shown = [(heard, (f"beat {beat}: {level.named(heard, beat)}", f"beat {beat}")), *others[:MOST_SAID]]
        cells = columns(box, [None] * len(shown), look.u(16))
        layouts = [tile_layout(figure, spelling_in(level, figure)) for figure, _ in shown]
        low = lettering.line_height(count_size(look))
        room = cells[0].w - sign_width(look) - look.u(24), box.h - low - look.u(20)
        if fit(layouts, *room) < least_space(look, counted=True):
            layouts = [tile_layout(figure, spelling_in(level, figure), count=False) for figure, _ in shown]
        space = fit(layouts, *room)
        return [
            SaidTile(f"said {k}", cell, self._sign(figure), fitting(look, cell.w - look.u(18), *words), layout, space,
                     right=k == 0, sounds=k < len(IN_TURN) and self._framed == IN_TURN[k])
            for k, (cell, (figure, words), layout) in enumerate(zip(cells, shown, layouts, strict=True))
        ]  # fmt: skip

    def _told_below(self, look: Look, box: Rect) -> list[Widget]:
        """The sentence on what to listen for; while it is asked how many had it, that question."""
        if self.session.stage is Stage.HAD:
            words, choice = columns(box, [box.w * 0.34, None], look.u(16))
            options = [(had, HAD_WORDS[had]) for had in Had]
            team = self.session.team
            return [
                BigLabel("who", words, f"{team}, who had it?" if team else "Who had it?", letter_size(look)),
                BigChoice("had", choice, options, self.session.had, self._choose_had),
            ]
        heard, others = self._compared
        size = count_size(look)
        sentence = self._told_apart(heard, others[0][0]) if others else ""
        more = ", ".join(f"{self._sign(figure)} {words[0]}" for figure, words in others[MOST_SAID:])
        longer = f"{sentence} Also: {more}."
        # What the fewest said is left out where the sentence would have to be set smaller for it.
        whole = more and lettering.fit(longer, box.size, size, True).size == size
        return [BigLabel("sentence", box, longer if whole else sentence, size)]

    def _told_apart(self, heard: Figure, said: Figure) -> str:
        return difference(heard, said, self._name(heard), self.context.level.shown).sentence

    def _reveal_buttons(self, look: Look, box: Rect) -> list[Widget]:
        first = box.w * 0.25 if self.session.one_beat else None
        step, both, bar, beat, slower = columns(box, [first, box.w * 0.27, None, None, None], look.u(12))
        if self.session.stage is Stage.HAD:
            return [
                self._step_button(step),
                Button("confirm", both, f"{HAD_WORDS[self.session.had]}: next bar", self._back, key="page up"),
            ]
        return [
            self._step_button(step),
            Button("both", both, "Both in turn", self._back, key="page up"),
            Button("bar", bar, "The bar", self._hear_bar, key="a"),
            Button("beat", beat, "One beat", self._hear_beat, key="o"),
            Button("slower", slower, "Slower", self._hear_slower, key="s"),
        ]

    def _sign(self, figure: Figure) -> str:
        # By the whole level and not by what is on offer: a figure keeps its letter from the first bar to the last.
        return LETTERS[self.context.level.figures.index(figure)]

    def _name(self, figure: Figure) -> str:
        """The name of a figure in a sentence: the letters A and I alone would be read as words."""
        return f"figure {self._sign(figure)}"

    # Acts

    def _forward(self) -> Next:
        self.told = ""
        number = self.session.number
        step = self.session.forward(self.context.now())
        match step:
            case Step.MEET | Step.BESIDE:
                self._hear_new()
            case Step.PLAY:
                self._hear_bar()
            case Step.REVEAL:
                self.loudspeaker.stop()
                self.beat, self._pace = self.session.largest_first()[0], Listening()
            case Step.NEXT | Step.ASK:
                self.loudspeaker.stop()
            case Step.NOTHING if self.session.stage is Stage.READY:
                # Pressed within the second that keeps a double press from giving the answer away.
                self.told = TOO_QUICK
        return self._announced(number)

    def _announced(self, number: int) -> Next:
        """The question whether to go on, where the bar of that number was the last that the lesson was to have."""
        if number != self._bars or self.session.number == number:
            return None
        since = self.context.now()

        def end() -> Next:
            # The key that led here would end the lesson as well: pressed twice by mistake it does not.
            return self._end() if self.context.now() - since >= GUARD_SECONDS else None

        done = f"Bars done: {number_word(number)}, as many as were planned. End the lesson, or go on?"
        asked = EndDialog(self.context, done, "Go on", "End the lesson", end)
        # Here ending is the next step, by each key that goes on elsewhere.
        asked.main = asked.focus = "go"
        return Push(asked)

    def _back(self) -> Next:
        """Play again what was played last; where it is asked how many had it, confirm it and go on."""
        self.told = ""
        number = self.session.number
        match self.session.stage:
            case Stage.HAD:
                self.session.confirm(self.context.now())
                self.loudspeaker.stop()
            case Stage.SHOWN:
                self._hear_both()
            case Stage.MEET:
                self._hear_new()
            case _:
                self.session.play()
                self._hear_bar()
        return self._announced(number)

    @property
    def _setting(self) -> Setting:
        return self.context.heard(self.session.question.setting, self._pace)

    def _hear_bar(self) -> Next:
        self.loudspeaker.play(whole_bar(self.session.question.bar, self._setting, "The bar"))
        return None

    def _hear_both(self) -> Next:
        """The beat as it was played, as it was said, and as it was played."""
        _, others = self._compared
        # Nothing else was said, and nothing is to be expected.
        if not others:
            return self._hear_beat()
        bar = self.session.question.bar
        said = as_answered(bar, {self.beat: others[0][0]})
        self.loudspeaker.play(beats_in_turn(bar, said, self._setting, self.beat, AS_SOME_SAID))
        return None

    def _hear_beat(self) -> Next:
        self.loudspeaker.play(one_beat(self.session.question.bar, self._setting, self.beat, AS_PLAYED))
        return None

    def _hear_slower(self) -> Next:
        self._pace = self._pace.slower
        return self._hear_both()

    def _hear_new(self) -> None:
        session, level = self.session, self.context.level
        # At the level's slowest: the figure is new to everyone.
        setting = self.context.heard(Setting(tempo=level.tempo.low))
        new = Meeting(session.meets[0], session.rival or session.meets[0], level.meter)
        alone = new.alone(setting)
        beside = session.met > 1 and session.rival
        self.loudspeaker.play(hearings_in_turn(new.beside(setting), alone) if beside else alone)

    def _look_at(self, beat: int) -> Next:
        """Look at another beat of the bar that was revealed."""
        self.beat, self._pace = beat, Listening()
        return None

    def _choose_had(self, had: Had) -> None:
        self.session.tell_had(had)

    def _darken(self) -> Next:
        self._dark = True
        return None

    def pick(self, figure: Figure) -> Next:
        return self._tried(lambda: self.session.choose(figure, self.context.now()))

    def _types(self, digit: int) -> Act:
        return lambda: self._tried(lambda: self.session.type_digit(digit))

    def _step(self, step: int) -> Next:
        if self.session.stage is Stage.SHOWN:
            asked = self.session.question.asked
            return self._look_at(asked[(asked.index(self.beat) + step) % len(asked)])
        self.session.step(step)
        return None

    def take_back(self) -> Next:
        return self._tried(self.session.take_back)

    def _tried(self, act: Act) -> Next:
        """Do what the rules allow; say why where they don't."""
        self.told = ""
        try:
            act()
        except SessionError as error:
            # The rules speak in half sentences, as errors do; on the wall it is a whole one.
            self.told = f"{str(error)[0].upper()}{str(error)[1:]}."
        return None

    def _leave(self) -> Next:
        # Nothing is there to be lost, so nothing is asked.
        if self.session.empty:
            return Pop()
        question = "End the lesson? What was revealed is kept; a bar that was not revealed is dropped."
        return Push(EndDialog(self.context, question, "Go on", "End the lesson", self._end))

    def _end(self) -> Next:
        self.session.end()
        return Replace(open_class_end(self.context, self.room, self.session), self)

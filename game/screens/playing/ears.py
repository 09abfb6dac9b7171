"""Listens to a take by the microphone, and keeps the habits that takes tell of a player on keys, pads or microphone."""

from functools import partial
from math import inf

import numpy as np

from audio.along import Sounded, along
from audio.reading import MICROPHONE as BY_MICROPHONE
from audio.reading import PADS as BY_PADS
from audio.reading import read
from audio.synthesis import RATE
from game.screens.context import Context
from game.sessions.inputs import KEYS, MICROPHONE, PADS, Input, InputDevice
from game.sessions.playing.playing import Reader, Run
from shared.reading import Habits

READERS: dict[str, Reader] = {
    KEYS: read, PADS: partial(read, source=BY_PADS), MICROPHONE: partial(read, source=BY_MICROPHONE),
}  # fmt: skip
"""The reader of strokes for each source."""

UNKNOWN = {KEYS: Habits(), PADS: Habits(), MICROPHONE: Habits(0.0, 0.08)}
"""The assumptions before the first take: with headphones a microphone's delay is unknown, in and out."""

HEARD = Habits(0.0, 0.03)
"""The assumptions before the first take where the click is heard in the recording."""

TODAY = 0.015
"""How far, in seconds, the offset may have moved since it was kept (standard deviation)."""

BEFORE, AFTER = 0.5, 1.0
"""How much more than a stretch of sound is looked through in what came in meanwhile, in seconds: it may come late."""

SOUND_DELAY = 0.08
"""How long after its start a sound comes in by the microphone, in seconds, where nothing tells."""


class HabitMemory:
    """A player's habits on each instrument, as takes have told them: in this visit, and kept from those before.

    Asked with ``exact``, it is about takes whose times have no delay of the sound in them.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        self._here: dict[str, tuple[float, Habits]] = {}

    def of(self, instrument: InputDevice, exact: bool = False) -> Habits:
        """The habits as they are known now."""
        late = self._context.settings.calibration
        name = _name(instrument, exact)
        # Not once the sound's delay was measured anew: what was learned before has the old delay in it.
        if name in self._here and self._here[name][0] == late:
            return self._here[name][1]
        kept = self._context.records.derived(self._context.player, name)
        if not isinstance(kept, list):
            return HEARD if exact else UNKNOWN[instrument.source]
        then, offset, sd, spread, spread_sd = map(float, kept)
        # A delay of the sound that was measured since is no longer in the times of strokes.
        moved = 0.0 if exact else (then - late) / 1000
        return Habits(offset + moved, max(sd, TODAY), spread, spread_sd)

    def keep(self, instrument: InputDevice, device: Habits, exact: bool = False) -> None:
        """Keep what is known after a take."""
        late, name = self._context.settings.calibration, _name(instrument, exact)
        self._here[name] = late, device
        value = [late, device.offset, device.sd, device.spread, device.spread_sd]
        self._context.records.keep_derived(self._context.player, name, value)


def _name(instrument: InputDevice, exact: bool) -> str:
    name = f"device {instrument.source} {instrument.name}"
    return f"{name} heard" if exact else name


class Ear:
    """The microphone over one take: it takes sound down while a run sounds, and gives the strokes on its clock.

    ``peak`` is the loudest sample, of full scale; ``exact`` whether the run was heard in the recording, so that no
    delay is in the times.
    """

    def __init__(self, context: Context, run: Run) -> None:
        self._context, self._run = context, run
        self.peak = 0.0
        self.exact = False

    def open(self) -> None:
        """Begin to take sound down, just before the run sounds.  Raises ``MicrophoneError``."""
        # The mixer ends a capture that was opened before it.
        self._context.sound.open()
        self._context.microphone.start(self._context.settings.microphone)

    @property
    def alive(self) -> bool:
        """Whether the microphone still sends."""
        return self._context.microphone.loudness().alive

    def struck(self) -> list[Input]:
        """The strokes, once the run is over."""
        self._context.microphone.stop()
        return self._found(self._run, 0.0)

    def so_far(self, run: Run, since: float) -> list[Input]:
        """The strokes of a run that was one of several in this sound; the microphone stays open.

        ``since`` is from when on only the sound was to be heard before it, in seconds from its start.
        """
        return self._found(run, since, run.ends)

    def _found(self, run: Run, since: float, until: float | None = None) -> list[Input]:
        """The strokes of a run, by what came in from ``since`` to ``until``, in seconds of the sound."""
        microphone, passage = self._context.microphone, run.hearing.passage
        came = microphone.marked + SOUND_DELAY
        first = max(0, round((came + since - BEFORE) * RATE))
        recorded = microphone.sound()[first : None if until is None else round((came + until + AFTER) * RATE)]
        self.peak = float(np.abs(recorded).max(initial=0.0))
        part = slice(round(since * RATE), None if until is None else round(until * RATE))
        # Both channels in one, as one microphone hears them; 16-bit samples, so that full scale becomes 1.
        mixed = self._context.sound.mixed(passage)[part].astype(np.float32).mean(1) / 32_768
        timed = [(time - since, stroke) for time, stroke in passage.timed if since <= time < (until or inf)]
        strokes = [time for time, _ in timed]
        clicks = [time for time, stroke in timed if stroke.instrument == "click"]
        sounded = Sounded(mixed, strokes, clicks, run.alone - since)
        found = along(recorded, sounded, came + since - first / RATE)
        self.exact = found.exact
        return [Input(MICROPHONE, "", since + stroke.seconds, stroke.velocity) for stroke in found.strokes]

"""Small charts: bars for days of practice, lines for weeks.  The page says the same numbers in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

import pygame
from pygame import Rect, Surface

from game.sessions.progress.hands import WeekTiming
from game.sessions.progress.progress import PracticeDay, Week
from game.widgets.base import Lettered, Widget, letter, write
from game.widgets.look import Look
from game.wording import date_words

SHOWN_DAYS = 35
"""Five whole weeks, so that each day of the week is seen as often as any other."""


@dataclass
class DayBars(Widget):
    """The last five weeks, a bar a day, as high as the beats answered on it."""

    days: Sequence[PracticeDay]
    today: date

    def _dates(self) -> list[date]:
        return [self.today - timedelta(days=back) for back in range(SHOWN_DAYS - 1, -1, -1)]

    def lettering(self, look: Look) -> list[Lettered]:
        low = look.line("small")
        dates = self._dates()
        half = self.rect.w // 2
        left = Rect(self.rect.x, self.rect.bottom - low, half, low)
        right = Rect(self.rect.x + half, left.y, self.rect.w - half, low)
        top = Rect(self.rect.x, self.rect.y, self.rect.w, low)
        most = max((day.beats for day in self.days), default=0)
        return [
            letter(look, date_words(dates[0]), left, "small"),
            letter(look, "today", right, "small"),
            letter(look, f"Most beats in a day: {most:.0f}", top, "small"),
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        first, today, most = self.lettering(look)
        write(canvas, first, look.theme.ink)
        write(canvas, today, look.theme.ink, "right")
        write(canvas, most, look.theme.ink)
        area = Rect(self.rect.x, most.box.bottom, self.rect.w, first.box.y - most.box.bottom - look.u(4))
        beats = {day.day: day.beats for day in self.days}
        # By the highest of all days, those before the first shown too: a bar means the same tomorrow as today.
        highest = max(beats.values(), default=1.0) or 1.0
        canvas.fill(look.theme.ink, (area.x, area.bottom, area.w, look.u(1.5)))
        for k, day in enumerate(self._dates()):
            left, right = area.x + area.w * k // SHOWN_DAYS, area.x + area.w * (k + 1) // SHOWN_DAYS
            # A day off is a gap in the row and not left out: the row is a calendar.
            high = round(area.h * beats.get(day, 0) / highest)
            # A pixel of air on either side, so that neighbouring days can be told apart.
            canvas.fill(look.theme.accent, (left + 1, area.bottom - high, max(1, right - left - 2), high))


@dataclass
class WeekLine(Widget):
    """A figure's share of right answers from week to week, from nought at the foot to all at the top."""

    weeks: Sequence[Week]

    def lettering(self, look: Look) -> list[Lettered]:
        low, side = look.line("small"), look.u(70)
        low_box = Rect(self.rect.x + side, self.rect.bottom - low, (self.rect.w - side) // 2, low)
        last_box = Rect(low_box.right, low_box.y, self.rect.right - low_box.right, low)
        found = [
            letter(look, "100%", Rect(self.rect.x, self.rect.y, side, low), "small"),
            letter(look, "0%", Rect(self.rect.x, self.rect.bottom - 2 * low, side, low), "small"),
        ]
        if self.weeks:
            found.append(letter(look, date_words(self.weeks[0].begins), low_box, "small"))
        if len(self.weeks) > 1:
            found.append(letter(look, date_words(self.weeks[-1].begins), last_box, "small"))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        for k, lettered in enumerate(self.lettering(look)):
            # The fourth, where there is one, is the date of the last week, at the right end.
            write(canvas, lettered, look.theme.ink, "right" if k == 3 else "left")
        low, side = look.line("small"), look.u(70)
        area = Rect(self.rect.x + side, self.rect.y + low // 2, self.rect.w - side - look.u(8), self.rect.h - 2 * low)
        # The whole range from 0 to 100 per cent, never a part of it: a small change must not look like a large one.
        for share in (0.0, 0.5, 1.0):
            canvas.fill(look.theme.rule, (area.x, area.bottom - round(area.h * share), area.w, look.u(1)))
        points = self._points(area)
        if len(points) > 1:
            pygame.draw.lines(canvas, look.theme.accent, False, points, look.u(3))
        for point in points:
            look.dot(canvas, point, look.u(6), look.theme.accent)

    def _points(self, area: Rect) -> list[tuple[int, int]]:
        if not self.weeks:
            return []
        first = self.weeks[0].begins
        span = max(1, (self.weeks[-1].begins - first).days)
        return [
            (area.x + area.w * (week.begins - first).days // span, area.bottom - round(area.h * week.share))
            for week in self.weeks
        ]


STEP = 0.010
"""The spreads at which lines are drawn, in seconds."""


@dataclass
class SpreadWeeks(Widget):
    """The spread of strokes from week to week, each with its 95 % interval, from nought at the foot."""

    weeks: Sequence[WeekTiming]

    @property
    def _top(self) -> float:
        """The spread at the top of the picture, in seconds: whole steps, above every interval."""
        return STEP * max(2, ceil(max(week.high for week in self.weeks) / STEP))

    def is_whole(self, look: Look) -> bool:
        # Over the line of dates both ends of the scale have one: lower, they would lie over each other.
        return self.rect.h >= 3 * look.line("small") and super().is_whole(look)

    def lettering(self, look: Look) -> list[Lettered]:
        low, side = look.line("small"), look.u(70)
        dates = Rect(self.rect.x + side, self.rect.bottom - low, (self.rect.w - side) // 2, low)
        found = [
            letter(look, f"{1000 * self._top:.0f} ms", Rect(self.rect.x, self.rect.y, side, low), "small"),
            letter(look, "0 ms", Rect(self.rect.x, self.rect.bottom - 2 * low, side, low), "small"),
            letter(look, date_words(self.weeks[0].begins), dates, "small"),
        ]
        if len(self.weeks) > 1:
            found.append(letter(look, date_words(self.weeks[-1].begins), dates.move(dates.w, 0), "small"))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        for k, lettered in enumerate(self.lettering(look)):
            # The fourth, where there is one, is the date of the last week, at the right end.
            write(canvas, lettered, look.theme.ink, "right" if k == 3 else "left")
        low, side = look.line("small"), look.u(70)
        area = Rect(self.rect.x + side, self.rect.y + low // 2, self.rect.w - side - look.u(8), self.rect.h - 2 * low)
        # From nought and never from the least: a small change must not look like a large one.
        for step in range(round(self._top / STEP) + 1):
            canvas.fill(look.theme.rule, (area.x, self._y(area, step * STEP), area.w, look.u(1)))
        points = [(area.x + self._x(area, week), self._y(area, week.spread)) for week in self.weeks]
        if len(points) > 1:
            pygame.draw.lines(canvas, look.theme.accent, False, points, look.u(2))
        for week, point in zip(self.weeks, points, strict=True):
            high, foot = self._y(area, week.high), self._y(area, week.low)
            canvas.fill(look.theme.accent, (point[0] - look.u(1), high, look.u(2), foot - high))
            look.dot(canvas, point, look.u(6), look.theme.accent)

    def _y(self, area: Rect, spread: float) -> int:
        return area.bottom - round(area.h * spread / self._top)

    def _x(self, area: Rect, week: WeekTiming) -> int:
        first = self.weeks[0].begins
        return area.w * (week.begins - first).days // max(1, (self.weeks[-1].begins - first).days)

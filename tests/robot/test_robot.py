"""A player that only hears gets every question right: sound, time, question, keys, marks and records agree."""

from itertools import cycle

from game.app import App
from game.learning.evidence import Answer
from game.screens.context import Context
from tests.robot.ear import Microphone, hear_bar
from tests.robot.player import Robot

ROUNDS, BARS, BEATS = 4, 10, 4


def answers(context: Context) -> tuple[Answer, ...]:
    return tuple(context.records.answers(context.player))


def test_the_robot_hears_everything(app: App, context: Context, microphone: Microphone) -> None:
    """40 bars of stage 4 on the snare and down the kit, heard once each from the sound driver: every beat right."""
    choices = context.level.figures
    robot = Robot(app, microphone, choices)
    robot.press("p")
    for _ in range(ROUNDS):
        robot.play_round(BARS, lambda: hear_bar(microphone, BEATS, choices))
        robot.press("return")
    wrong = [(row.bar, row.beat, row.heard, row.said) for row in answers(context) if row.said != row.heard]
    assert wrong == []
    assert len(answers(context)) == ROUNDS * BARS * BEATS
    rounds = context.records.rounds(context.player, context.level.name)
    assert [(done.right, done.hearings, done.score) for done in rounds] == [(BARS * BEATS, BARS, 100 * BARS)] * ROUNDS


def test_the_bars_differ(app: App, context: Context, microphone: Microphone) -> None:
    """A player who does not listen, and says the figures in turn, gets few right: the questions can be failed."""
    robot = Robot(app, microphone, context.level.figures)
    robot.press("p")
    turns = cycle(context.level.figures)
    robot.play_round(BARS, lambda: [next(turns) for _ in range(BEATS)])
    right = [row.said == row.heard for row in answers(context)]
    assert len(right) == BARS * BEATS
    assert sum(right) < len(right) / 2

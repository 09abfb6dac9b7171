"""Trying what is played on: one stroke with each hand, so that each key or pad is known by its hand."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

HAND_WORDS = {"L": "Left hand", "R": "Right hand"}


@dataclass(frozen=True)
class Trial:
    """A trial under way.  ``left`` and ``right`` are the notes that were struck, empty until then; ``last`` the newest.

    Values only: a stroke gives the next one.
    """

    left: str = ""
    right: str = ""
    last: str = ""

    @property
    def done(self) -> bool:
        """Whether each hand has struck."""
        return bool(self.right)

    @property
    def hands(self) -> Mapping[str, str]:
        """The hand of each note; none where both hands strike one, which can't tell them apart."""
        return {self.left: "L", self.right: "R"} if self.done and self.left != self.right else {}

    def struck(self, note: str) -> "Trial":
        """After one more stroke."""
        if not self.left:
            return replace(self, left=note, last=note)
        if not self.right:
            return replace(self, right=note, last=note)
        return replace(self, last=note)

    def words(self) -> str:
        """The next thing to do, or the outcome, in a sentence."""
        if not self.left:
            return "Strike once with your left hand."
        if not self.right:
            return "Good. Now once with your right hand."
        if not self.hands:
            return "One pad for both hands: the hands can't be told apart, all else works."
        return f"Both hands are known. Last: {HAND_WORDS.get(self.hands.get(self.last, ''), 'another pad').lower()}."

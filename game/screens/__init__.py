"""The screens of the window, in a folder for each way of practice or kind of work; and how a screen is made.

A screen is a subclass of ``Screen`` (``game.screens.base``) and says four things:

- ``heading()``: the title, and a remark at the left and at the right of it;
- ``keys()``: its keys, as ``Key(name, what it does, act)``; they are listed at the foot, where a click
  does the same, so what the foot says is always true;
- ``body(look, box)``: the widgets, laid out in the box from what the screen knows at this moment. It is
  called again after every event and every resize, so a screen holds state, never widgets. A widget's
  ``name`` is unique and keeps the focus from one layout to the next;
- acts: functions without arguments that change the state and return what comes next: ``Push(screen)``,
  ``Replace(screen)``, ``Pop()``, ``Quit()``, or None to stay. After an event the page is drawn again.

Lengths come from the look: ``look.u(50)`` is 50 units in pixels (one pixel in a window of 1280 x 720),
``look.line("body")`` the height of a line of text. ``game.widgets.boxes`` cuts the box into ``rows``,
``columns`` and a ``grid``. Widgets: ``Label``, ``Picture`` (base); ``Button``, ``Choice``, ``Slider`` (controls);
``TextField`` (text_field); ``ListBox`` (lists); ``FigureTile`` (notation). Targets are ``look.u(TARGET)`` high and
lie at least ``look.u(12)`` apart, which leaves room for the focus ring. Colours are names of the theme.

    class Greeting(Screen):
        def heading(self) -> Heading:
            return Heading("Welcome")

        def keys(self) -> Sequence[Key]:
            return (Key("escape", "back", Pop),)

        def body(self, look: Look, box: Rect) -> list[Widget]:
            words, button, _ = rows(box, [look.line() * 2, look.u(TARGET), None], look.u(20))
            return [Label("words", words, "Good to hear you."), Button("go", button, "Go on", Pop, main=True)]

Text goes only through widgets, which fit it into their boxes; the files ``tests/screens/test_walk*.py`` show every
screen in every size and theme and find what overlaps or is cut: add yours to the ``PAGES`` of one, and its keys to
the manual's table. ``tick(now)`` returns the rectangles to paint again while something moves, and ``moves_on(now)``
where to go by itself. ``entered()`` and ``left()`` start and stop what belongs to the screen, such as sound. Rules
live in ``game.sessions``, never here; records, settings, sound, clock and seeds are in ``self.context``. A screen of
the home page is added to ``WAYS`` in ``game.screens.home.ways``.
"""

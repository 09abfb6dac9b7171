"""The process that decodes one sound file: samples as (frames, 2) int16 on its output, code 1 where it can't.

It is started as a file of its own, by ``decoded``, and so imports nothing of ours.
"""

import os
import sys

WORD = "decode"
"""The argument, before path and rate, that tells a built program to be the decoder."""


def main(path: str, rate: str) -> int:
    """Decode a file at a rate in Hz; the exit code."""
    # Decoding needs a mixer but no device, which may be in use: by the program itself, or by another one.
    os.environ.update(SDL_AUDIODRIVER="dummy", PYGAME_HIDE_SUPPORT_PROMPT="1")
    import pygame

    pygame.mixer.init(int(rate), -16, 2, 2048, allowedchanges=0)
    try:
        sys.stdout.buffer.write(pygame.mixer.Sound(file=path).get_raw())
    except pygame.error:
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

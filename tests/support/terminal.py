"""What the program writes to a terminal."""
import os
import select
import time


def shown_on(terminal, seconds=100):
    """All bytes that come from this end of a pseudo-terminal until nobody holds the other; what hangs is left after `seconds`."""
    shown, end = b"", time.monotonic() + seconds
    while time.monotonic() < end:
        if not select.select([terminal], [], [], 1.0)[0]:
            continue
        try:
            piece = os.read(terminal, 65536)
        except OSError:
            break
        if not piece:
            break
        shown += piece
    return shown

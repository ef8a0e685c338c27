"""What the tests of the window have in common. TATTLETONE names the program, TATTLETONE_SHOTS the folder in which pictures
of the views are left. Skips (77), told loudly, without Xvfb or xdotool."""

import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(HERE, "..", "virtual_mic"), os.path.join(HERE, "..", "support")]
import case_runner  # noqa: E402
from driven_window import missing_tools  # noqa: E402

PROGRAM = os.environ["TATTLETONE"]
SHOTS = os.environ.get("TATTLETONE_SHOTS", "/tmp/tattletone-pictures")
SAMPLES = os.path.join(HERE, "..", "..", "samples")
LIMPET = os.path.join(SAMPLES, "limpet.toml")
SEEN = "caution_seen = true\n"


def shot(window, name):
    os.makedirs(SHOTS, exist_ok=True)
    window.rest_mouse()
    window.picture(os.path.join(SHOTS, name + ".png"))


def sample(name):
    return os.path.join(SAMPLES, name)


def main():
    if missing_tools() and "Screenless" not in sys.argv:
        print("SKIPPED: " + ", ".join(missing_tools()) + " not installed, no screen without hardware",
              file=sys.stderr)
        sys.exit(77)
    case_runner.main()

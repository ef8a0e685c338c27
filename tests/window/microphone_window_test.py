#!/usr/bin/python3
"""The window at a virtual microphone. As window_test.py."""

import json
import os
import subprocess
import tempfile
import time
import unittest

from window_case import LIMPET, PROGRAM, SEEN, main, shot
from driven_window import DrivenWindow
import virtual_mic
from toggled import read_plan, write_toggled


class AtVirtualMic(unittest.TestCase):
    def setUp(self):
        missing = virtual_mic.missing_tools()
        if missing:
            self.skipTest(", ".join(missing) + " not installed, no virtual microphone")


class Microphone(AtVirtualMic):
    def test_a_tone_starts_the_device_dies_and_comes_back(self):
        with virtual_mic.VirtualMic() as mic:
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 50.0, 60.0, amplitude=0.0,
                                        noise=0.0005)
            # The screen's rows are the third rate of the sheet; the clock of this "card" is right.
            tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"), [4320.04, 8640.08, 12960.12],
                                        40.0, amplitude=0.02)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                time.sleep(4)
                self.assertNotEqual(window.ladders()[0], "screen.row")
                mic.play(tone)
                begin = time.monotonic()
                window.wait_for("the screen's ladder on top",
                                lambda: window.ladders()[:1] == ["screen.row"])
                print(f"a tone's ladder stood on top {time.monotonic() - begin:.2f} s after the player "
                      "was started")
                window.wait_beginning("says screen.row")
                shot(window, "live dark 1280")
                window.key("r")
                window.wait_beginning("says Board off")
                shot(window, "room step dark 1280")
                window.click("step room")  # cancels
                mic.kill()
                told = window.wait_for("word of the dead device", lambda: next(
                    (n for n in window.places() if n.startswith("warns ") and "testmic" in n), None))
                print(told)
                shot(window, "device gone dark 1280")
                mic.start()
                mic.play(tone)
                window.wait_for("the warning to go", lambda: told not in window.places())
                window.wait_beginning("says screen.row")


class Toggled(AtVirtualMic):
    def test_a_person_is_told_when_to_switch_and_then_which_part_it_was(self):
        steps, step = 30, 1.5
        with virtual_mic.VirtualMic() as mic:
            plan = os.path.join(mic.folder, "plan.csv")
            drawn = subprocess.run([PROGRAM, "toggle", LIMPET, "--parts", "screen,lamp", "--step", str(step), "--seconds",
                                    str(steps * step), "--seed", "16", "--csv", plan], capture_output=True, text=True)
            self.assertEqual(drawn.returncode, 0, drawn.stderr)
            parts, rows, _ = read_plan(plan)
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 50.0, 90.0, amplitude=0.0, noise=0.0005)
            # Who switches is as late as the player's start; the screen sings.
            take = os.path.join(mic.folder, "take.wav")
            write_toggled(take, rows, step, [(0, 2160.02, 0.002)], 2 * steps * step, start=0.4, noise=0.0005)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                window.drop(plan)
                window.wait_place("plan")
                shot(window, "toggle plan dark 1280")
                window.click("Begin: I switch by hand")
                first = window.wait_beginning("prompts In ")
                mic.play(take)
                words = window.wait_for("the first word", lambda: next(
                    (n for n in window.places() if n.startswith("prompts ") and n.endswith(", now")), None))
                expected = ", ".join(f"{part} {'ON' if on else 'OFF'}" for part, on in zip(parts, rows[0]))
                self.assertEqual(words, f"prompts {expected}, now")
                self.assertTrue(first.endswith(expected), first)
                for part, on in zip(parts, rows[0]):
                    self.assertIn(f"holds {part} {'ON' if on else 'OFF'}", window.places())
                shot(window, "toggle prompt dark 1280")
                self.assertIn("screen is proven", window.wait_beginning("plan screen is proven", 180))
                self.assertIn("2160", window.wait_beginning("plan screen is proven"))
                window.wait_beginning("plan lamp is acquitted")
                shot(window, "toggle answer dark 1280")
                kept = window.saved_files(".csv")
                self.assertEqual(len(kept), 1)
                self.assertEqual(read_plan(kept[0]), read_plan(plan))
                self.assertEqual(window.saved_files(".flac"), [kept[0][:-4] + ".flac"])
                window.key("ctrl+j")
                found = window.wait_for("findings", lambda: window.saved_files(".json"))[0]
                time.sleep(0.3)
                with open(found, encoding="utf-8") as text:
                    said = json.load(text)["toggle"]["parts"]
                self.assertEqual([part["drives"] for part in said], [True, False])
                # Once more, and away with it: the plan stays, nothing is kept.
                window.key("t")
                window.click("Begin: the firmware switches")
                window.wait_place("Stop")
                window.key("Escape")
                window.wait_place("Begin: I switch by hand")
                self.assertEqual(len(window.saved_files(".flac")), 1)


class Bench(AtVirtualMic):
    def test_room_then_a_state_step_by_step(self):
        with virtual_mic.VirtualMic() as mic:
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 2345.6, 20.0, amplitude=0.002,
                                        noise=0.0005)
            tone = virtual_mic.tone_wav(os.path.join(mic.folder, "tone.wav"),
                                        [4320.04, 8640.08, 12960.12, 2345.6], 30.0, amplitude=0.002,
                                        noise=0.0005)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                time.sleep(1.0)
                window.click("step room")
                window.wait_beginning("says Board off")
                window.wait_place("done room")
                mic.silence()
                mic.play(tone)
                window.click("step reading")
                window.wait_beginning("says Recording 'reading'")
                window.wait_place("done reading")
                window.wait_beginning("says screen.row")
                self.assertNotIn("record the room", window.wait_beginning("next "))
                self.assertNotIn("done sounding", window.places())
                kept = window.wait_for("two files", lambda: len(window.saved_files(".flac")) == 2
                                       and window.saved_files(".flac"))
                self.assertEqual([os.path.basename(path).split(" ")[2] for path in kept], ["room", "reading"])
                lengths = [float(subprocess.run(["soxi", "-D", path], capture_output=True, text=True,
                                                check=True).stdout) for path in kept]
                self.assertEqual([round(length, 2) for length in lengths], [5.0, 10.0])
                window.key("ctrl+j")
                found = window.wait_for("findings", lambda: window.saved_files(".json"))[0]
                time.sleep(0.3)
                with open(found, encoding="utf-8") as text:
                    findings = json.load(text)
                self.assertEqual(findings["recordings"][0]["state"], "reading")
                room = min(findings["tones"], key=lambda t: abs(t["hz"] - 2345.6))
                self.assertEqual(room["origin"], "room")
                self.assertEqual(findings["suspects"][0]["rate"], "screen.row")

    def test_what_spoils_the_sound_is_told(self):
        with virtual_mic.VirtualMic() as mic:
            loud = virtual_mic.tone_wav(os.path.join(mic.folder, "loud.wav"), 440.0, 3.0, amplitude=1.5)
            hiss = virtual_mic.tone_wav(os.path.join(mic.folder, "hiss.wav"), 50.0, 8.0, amplitude=0.0,
                                        noise=0.05)
            hush = virtual_mic.tone_wav(os.path.join(mic.folder, "hush.wav"), 50.0, 60.0, amplitude=0.0,
                                        noise=0.0005)
            with DrivenWindow(PROGRAM, ["--board", LIMPET, "--device", virtual_mic.DEVICE], settings=SEEN,
                              environment=mic.environment) as window:
                mic.play(hush)
                window.wait_place("Pause")
                mic.play(loud)
                window.wait_place("meter clipping!")
                window.wait_beginning("warns Clipping: turn the microphone")
                window.wait_for("the end of it", lambda: "meter clipping!" not in window.places())
                # As speech enhancement does: a hiss goes away a while after the start.
                mic.play(hiss)
                window.wait_beginning("warns the noise falls by ")
                self.assertIn("it removes steady tones", window.wait_beginning("warns the noise falls by "))
                # The sound system stands still, and goes on.
                mic.freeze()
                told = window.wait_for("word of the missing sound", lambda: next(
                    (n for n in window.places() if n.startswith("warns ") and "gives no sound" in n), None))
                mic.thaw()
                window.wait_for("the warning to go", lambda: told not in window.places())

    def test_a_microphone_is_seen_when_it_is_plugged_in_and_opened_again_the_next_time(self):
        with virtual_mic.VirtualMic() as mic, tempfile.TemporaryDirectory() as folder:
            mic.unplug()
            with DrivenWindow(PROGRAM, ["--board", LIMPET], settings=SEEN, environment=mic.environment,
                              folder=folder) as window:
                window.click("Microphone")
                window.wait_place("default")
                self.assertNotIn(virtual_mic.DEVICE, window.places())
                mic.plug_in()
                window.click(virtual_mic.DEVICE)
                window.wait_place("Pause")
                # One more, while the first is open: seen when the user asks for it.
                mic.plug_in("deskmic")
                window.pick("Microphone", "look for new ones (listening begins anew)")
                window.click("Microphone")
                window.wait_place("deskmic", 60)
                window.key("Escape")
                window.wait_place("Pause", 60)
                self.assertEqual(window.close(), 0)
                self.assertTrue(window.settings()["listening"])
                self.assertEqual(window.settings()["device"], virtual_mic.DEVICE)
            mic.unplug()
            with DrivenWindow(PROGRAM, [], environment=mic.environment, folder=folder) as window:
                window.wait_place(f"says Waiting for the microphone '{virtual_mic.DEVICE}'")
                mic.plug_in()
                window.wait_place("Pause")
                window.pick("Microphone", "stop listening")
                window.wait_for("the end of listening", lambda: "Pause" not in window.places())
                self.assertEqual(window.close(), 0)
                self.assertFalse(window.settings()["listening"])


if __name__ == "__main__":
    main()

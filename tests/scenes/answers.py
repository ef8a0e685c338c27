"""answers.py PROGRAM SCENES OUT: what PROGRAM says of the samples and of every scene that dump_scenes wrote to SCENES.

One file an answer, so that `diff -r OUT_BEFORE OUT_AFTER` shows whether a change of the code changed an answer.
"""
import json
import pathlib
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

SAMPLES = pathlib.Path(__file__).resolve().parents[2] / "samples"


def sample_runs():
    """The samples as the README uses them: alone, with the room, as states, as one unit; and the sheet alone."""
    sheet = ["--board", SAMPLES / "limpet.toml"]
    clips = sorted(SAMPLES.glob("*.flac"))
    for clip in clips:
        yield f"{clip.stem}.json", ["examine", clip, *sheet, "--json"]
        yield f"{clip.stem}.txt", ["examine", clip, *sheet]
        yield f"{clip.stem}-alone.json", ["examine", clip, "--json"]
        yield f"{clip.stem}-room.json", ["examine", clip, *sheet, "--room", SAMPLES / "room.flac", "--json"]
        yield f"{clip.stem}-next.json", ["next", clip, *sheet, "--json"]
        yield f"{clip.stem}-next.txt", ["next", clip, *sheet]
    yield "together.json", ["examine", *clips, *sheet, "--json"]
    yield "predict.json", ["predict", SAMPLES / "limpet.toml", "--json"]
    yield "predict.txt", ["predict", SAMPLES / "limpet.toml", "--all"]
    yield "headroom.json", ["headroom", SAMPLES / "limpet.toml", "--json"]
    yield "headroom.txt", ["headroom", SAMPLES / "limpet.toml"]
    yield "trace.json", ["trace", SAMPLES / "rail.csv", "--board", SAMPLES / "limpet.toml", "--json"]
    yield "trace.txt", ["trace", SAMPLES / "rail.csv", "--board", SAMPLES / "limpet.toml"]


def scene_runs(folder):
    for truth in sorted(folder.glob("scene-*.json")):
        takes = [folder / name for name in json.loads(truth.read_text())["takes"]]
        words = [*takes, "--board", truth.with_suffix(".toml")]
        yield truth.name, ["examine", *words, "--json"]
        yield f"{truth.stem}-next.json", ["next", *words, "--json"]


def main(program, scenes, out):
    out = pathlib.Path(out)
    out.mkdir(parents=True, exist_ok=True)

    def run(job):
        name, words = job
        ended = subprocess.run([program, *map(str, words)], capture_output=True, check=False)
        (out / name).write_bytes(ended.stdout + ended.stderr + f"exit {ended.returncode}\n".encode())

    jobs = [*sample_runs(), *scene_runs(pathlib.Path(scenes))]
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(run, jobs))
    print(f"{len(jobs)} answers in {out}")


if __name__ == "__main__":
    main(*sys.argv[1:4])

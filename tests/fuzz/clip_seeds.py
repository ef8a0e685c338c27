#!/usr/bin/env python3
"""clip_seeds.py FOLDER: real small clips to begin fuzzing with, FOLDER/wav for the header and FOLDER/clip for the decoder.

The wav files are laid down here (RIFF 1991, WAVEFORMATEXTENSIBLE, EBU Tech 3306); the others are ffmpeg's and sox's, as found.
"""
import pathlib
import shutil
import struct
import subprocess
import sys

KINDS = {  # as tests/sound/clip_formats_test.cpp has them
    "a.flac": [], "vorbis.ogg": ["-c:a", "libvorbis"], "a.opus": ["-c:a", "libopus"], "a.mp3": [], "a.m4a": [], "a.aac": [],
    "front.m4a": ["-movflags", "+faststart"], "alac.m4a": ["-c:a", "alac"], "pieces.mp4": ["-movflags", "+frag_keyframe+empty_moov"],
    "a.webm": ["-c:a", "libopus"], "a.mka": ["-c:a", "flac"], "a.aiff": [], "a.caf": [], "a.au": [], "a.w64": [], "a.avi": [], "a.mpg": [],
    "a.ts": ["-c:a", "aac"], "a.wma": [], "a.mov": ["-c:a", "pcm_s16le"], "adpcm.wav": ["-c:a", "adpcm_ima_wav"],
    "alaw.wav": ["-c:a", "pcm_alaw"], "two.m4a": ["-map", "0", "-map", "0"],
}


def chunk(name, content):
    return name + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)


def form(tag, channels, rate, bits, extensible=False):
    align = channels * bits // 8
    base = struct.pack("<HHIIHH", 0xFFFE if extensible else tag, channels, rate, rate * align, align, bits)
    if extensible:
        base += struct.pack("<HHIH", 22, bits, 4, tag) + bytes.fromhex("000000001000800000aa00389b71")
    return chunk(b"fmt ", base)


def riff(*parts):
    body = b"WAVE" + b"".join(parts)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def wavs():
    ramp = bytes(range(256)) * 2
    yield "u8", riff(form(1, 1, 8000, 8), chunk(b"data", ramp))
    yield "s16", riff(chunk(b"bext", b"abc"), form(1, 2, 48000, 16), chunk(b"LIST", b"INFO"), chunk(b"data", ramp))
    yield "s24", riff(form(1, 1, 96000, 24, True), chunk(b"data", ramp))
    yield "f32", riff(form(3, 1, 48000, 32), chunk(b"data", struct.pack("<8f", 0, 0.5, -0.5, 1.5, 3e38, float("inf"), float("nan"), 1e-40) * 8))
    yield "f64", riff(form(3, 2, 44100, 64), chunk(b"data", struct.pack("<4d", 0, 0.5, 1e300, -1) * 8))
    yield "cut", riff(form(1, 1, 8000, 16), b"data\xff\xff\xff\xff" + ramp)
    yield "zero", riff(form(1, 1, 8000, 16), b"data\0\0\0\0" + ramp)
    sizes = struct.pack("<QQQI", 0, len(ramp), len(ramp) // 2, 0)
    yield "rf64", b"RF64\xff\xff\xff\xffWAVE" + chunk(b"ds64", sizes) + form(1, 1, 48000, 16) + b"data\xff\xff\xff\xff" + ramp + chunk(b"LIST", b"INFO")


def main():
    folder = pathlib.Path(sys.argv[1])
    shutil.rmtree(folder, ignore_errors=True)
    for name in ("wav", "clip"):
        (folder / name).mkdir(parents=True)
    for name, content in wavs():
        for place in ("wav", "clip"):
            (folder / place / f"{name}.wav").write_bytes(content)
    made = lambda *command: subprocess.run(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode == 0
    tone = folder / "tone.wav"
    samples = b"".join(struct.pack("<h", 8000 if i // 24 % 2 else -8000) for i in range(9600))
    tone.write_bytes(riff(form(1, 1, 48000, 16), chunk(b"data", samples)))
    missing = []
    for name, how in KINDS.items():
        if not made("ffmpeg", "-v", "error", "-y", "-i", tone, *how, "-fflags", "+bitexact", "-flags", "+bitexact", folder / "clip" / name):
            missing.append(name)
    if not made("sox", tone, "-r", "8000", "-t", "amr-nb", folder / "clip" / "a.amr"):
        missing.append("a.amr")
    tone.unlink()
    for name in missing:
        (folder / "clip" / name).unlink(missing_ok=True)
    if missing:
        print("SKIPPED: the tools here cannot make " + ", ".join(missing) + "; the decoder is fuzzed without them")


main()

"""format_test.py ROOT: .clang-format holds for every C++ file, as clang-format 14 understands it (others differ)."""
import pathlib
import shutil
import subprocess
import sys

MAJOR = 14


def formatter():
    for name in (f"clang-format-{MAJOR}", "clang-format"):
        found = shutil.which(name)
        if found and f"version {MAJOR}." in subprocess.run([found, "--version"], capture_output=True, text=True).stdout:
            return found
    return None


def main(root):
    tool = formatter()
    if tool is None:
        print(f"SKIPPED: clang-format {MAJOR} is not installed")
        return 77
    files = [str(path) for top in ("src", "tests", "samples") for path in sorted(pathlib.Path(root, top).rglob("*"))
             if path.suffix in (".cpp", ".h", ".inc")]
    assert len(files) > 400, files
    wrong = [name for name in files
             if subprocess.run([tool, name], capture_output=True).stdout != pathlib.Path(name).read_bytes()]
    for name in wrong:
        print(f"{name}: differs from .clang-format; clang-format -i mends it")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))

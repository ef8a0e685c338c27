#!/usr/bin/env python3
"""tests/support/install.sh with a dpkg-query, an apt-get and an apt-cache of our own: what it does on a machine that never
heard of a package, and what it says where it cannot install. That the real ones work is proven by tests/bare_machine."""

import os
import shutil
import subprocess
import tempfile
import unittest

INSTALL = os.path.join(os.path.dirname(os.path.abspath(__file__)), "install.sh")

# The packages that exist and those that are installed are lines of two files. Statuses as in the manual pages of
# dpkg-query(1): 1 a package is not known, 2 the database cannot be read.
STUBS = {
    "dpkg-query": """
[ ! -e "$FAKE/broken" ] || exit 2
status=0
for package in "${@:3}"; do
    if grep -qxF "$package" "$FAKE/installed"; then echo "$package installed"; else status=1; fi
done
exit $status
""",
    "apt-get": """
echo "apt-get $*" >>"$FAKE/calls"
case "$*" in *" install "*) ;; *) exit 0 ;; esac
status=0
for word in "$@"; do
    case "$word" in -*|install|DPkg::*) continue ;; esac
    if ! grep -qxF "$word" "$FAKE/existing"; then echo "E: Unable to locate package $word"; status=100
    elif [ ! -e "$FAKE/lazy" ]; then echo "$word" >>"$FAKE/pending"; fi
done
[ $status -ne 0 ] || cat "$FAKE/pending" >>"$FAKE/installed" 2>/dev/null
exit $status
""",
    "apt-cache": """
if grep -qxF "$2" "$FAKE/existing"; then echo "  Candidate: 1.0"; fi
""",
    "id": 'echo "${FAKE_USER:-0}"\n',
}


@unittest.skipIf(shutil.which("bash") is None, "SKIPPED: no bash here")
class Install(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.mkdtemp(prefix="tattletone-install-")
        self.addCleanup(shutil.rmtree, self.folder)
        for name, text in STUBS.items():
            path = os.path.join(self.folder, name)
            with open(path, "w", encoding="utf-8") as out:
                out.write("#!" + shutil.which("bash") + "\n" + text)
            os.chmod(path, 0o755)
        for tool in ("grep", "sed", "fold", "mktemp", "rm", "tail", "cat", "env"):
            os.symlink(shutil.which(tool), os.path.join(self.folder, tool))
        self.write("installed", "bash")
        self.write("existing", "bash", "cmake", "ninja-build")

    def write(self, name, *lines):
        with open(os.path.join(self.folder, name), "w", encoding="utf-8") as out:
            out.writelines(line + "\n" for line in lines)

    def install(self, *packages, user="0"):
        done = subprocess.run(
            [shutil.which("bash"), "-c", 'set -euo pipefail; source "$0"; install_missing "$@"; echo went on', INSTALL, *packages],
            env={"PATH": self.folder, "FAKE": self.folder, "FAKE_USER": user, "TMPDIR": self.folder},
            capture_output=True, text=True, timeout=60, check=False)
        try:
            with open(os.path.join(self.folder, "calls"), encoding="utf-8") as calls:
                return done, calls.read()
        except FileNotFoundError:
            return done, ""

    def test_packages_that_this_machine_never_heard_of_are_installed(self):
        done, calls = self.install("cmake", "bash", "ninja-build")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("went on", done.stdout)
        self.assertRegex(calls, r"(?m)^apt-get .*update$")
        self.assertRegex(calls, r"(?m)^apt-get .*install .* cmake ninja-build$")

    def test_nothing_is_called_where_nothing_is_missing(self):
        done, calls = self.install("bash")
        self.assertEqual((done.returncode, calls, done.stderr), (0, "", ""))

    def test_a_package_that_does_not_exist_is_named_with_the_command(self):
        done, _ = self.install("cmake", "nosuch-dev")
        self.assertEqual(done.returncode, 1)
        self.assertNotIn("went on", done.stdout)
        self.assertIn("never heard of: nosuch-dev\n", done.stderr)
        self.assertIn("apt-get install cmake nosuch-dev", done.stderr)

    def test_what_apt_left_out_without_a_word_is_named(self):
        self.write("lazy")
        done, _ = self.install("cmake")
        self.assertEqual(done.returncode, 1)
        self.assertIn("Not installed:\n    cmake\n", done.stderr)

    def test_neither_root_nor_sudo_says_what_root_must_run(self):
        done, calls = self.install("cmake", user="1000")
        self.assertEqual((done.returncode, calls), (1, ""))
        self.assertIn("apt-get update && apt-get install cmake", done.stderr)

    def test_an_unreadable_list_of_packages_stops_it(self):
        self.write("broken")
        done, calls = self.install("cmake")
        self.assertEqual((done.returncode, calls), (1, ""))
        self.assertIn("dpkg-query ended with status 2", done.stderr)

    def test_another_system_is_told_what_is_needed_and_goes_on(self):
        os.unlink(os.path.join(self.folder, "dpkg-query"))
        done, _ = self.install("cmake")
        self.assertEqual(done.returncode, 0)
        self.assertIn("    cmake\n", done.stdout)
        self.assertIn("went on", done.stdout)


if __name__ == "__main__":
    unittest.main()

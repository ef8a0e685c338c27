"""private_names_test.py ROOT: no two files of a folder of src have the same name in their unnamed namespaces.

The files of a folder are compiled together (src/CMakeLists.txt), some at a time; which ones changes when one is added.
Functions may be overloaded. Files that CMake compiles alone are left out.
"""
import collections
import pathlib
import re
import sys

BLOCK = re.compile(r"^namespace \{\n(.*?)^\}  // namespace$", re.M | re.S)
NAME = re.compile(r"^(?:struct|class|enum class|enum) (\w+)|^using (\w+) ="
                  r"|^(?:static |inline )?(?:constexpr|const)\b[^(;={]*?(\w+)\s*(?:=|\{|\[)"
                  r"|^[A-Za-z_][\w:<>,&*\s]*?[ &*](\w+)(\([^;{]*\)) (?:const )?(?:noexcept )?\{$", re.M)


# The further names of a line that declares several.
FURTHER = re.compile(r"^(?:static |inline )?(?:constexpr|const) (?:double|float|int|std::size_t)((?:[^;{(]|\n)*);", re.M)


def names_in(text):
    for block in BLOCK.finditer(text):
        for found in NAME.finditer(block.group(1)):
            name = next(group for group in found.groups() if group)
            types = re.sub(r"\b\w+(?=[,)])", "", found.group(5) or "")
            yield name, re.sub(r"\s+", " ", types)
        for further in FURTHER.finditer(block.group(1)):
            for name in re.findall(r", (\w+) = ", further.group(1)):
                yield name, ""


def twice(files):
    seen = collections.defaultdict(set)
    for path, text in files:
        for name, types in names_in(text):
            seen[name, types].add(path)
    for (name, types), paths in list(seen.items()):  # a constant and a function
        if types and (name, "") in seen:
            seen[name, ""] |= paths
    return {name: paths for name, paths in seen.items() if len(paths) > 1}


def main(root):
    of_one = "namespace {\n\nint twice(const std::string& a) {\n    return 1;\n}\n\n}  // namespace\n"
    assert twice([("a", of_one), ("b", of_one.replace("& a", "& b"))]), "the check sees nothing"
    assert not twice([("a", of_one), ("b", of_one.replace("const std::string&", "int"))]), "an overload is no clash"
    assert twice([("a", "namespace {\n\nconstexpr double b = 1.0, twice = 2.0;\n\n}  // namespace\n"), ("b", of_one)]), "nor this"
    wrong = 0
    for folder in sorted(path for path in pathlib.Path(root, "src").iterdir() if path.is_dir()):
        alone = (folder / "CMakeLists.txt").read_text()
        alone = " ".join(re.findall(r"set_source_files_properties\((.*?) PROPERTIES SKIP_UNITY", alone))
        files = [(str(path.relative_to(root)), path.read_text()) for path in sorted(folder.rglob("*.cpp"))
                 if path.relative_to(folder).as_posix() not in alone]
        for (name, _), paths in twice(files).items():
            print(f"'{name}' is private to each of {', '.join(sorted(paths))}: rename one, or share it")
            wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))

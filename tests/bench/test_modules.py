"""The scripts of the bench's page: small modules that import one way, and only what is there."""

import re
from pathlib import Path

from portal import resources

FOLDER = resources.templates() / "bench"
IMPORT = re.compile(r'^import (?:\{ ([^}]+) \} from )?"\./(\w+\.js)";$', re.MULTILINE)
EXPORT = re.compile(r"^export (?:async )?(?:function|var) (\w+)", re.MULTILINE)


def imports(path: Path) -> list[tuple[str, set[str]]]:
    """What a module takes from which other."""
    found = IMPORT.findall(path.read_text(encoding="utf-8"))
    return [(name, set(names.split(", ")) - {""}) for names, name in found]


def test_a_module_imports_only_what_another_exports() -> None:
    """A name that isn't there would leave the page dead."""
    for path in FOLDER.glob("*.js"):
        for name, names in imports(path):
            assert names <= set(EXPORT.findall((FOLDER / name).read_text(encoding="utf-8"))), (path.name, name)


def test_what_is_imported_is_used() -> None:
    """So that the imports say what a module needs."""
    for path in FOLDER.glob("*.js"):
        code = IMPORT.sub("", path.read_text(encoding="utf-8"))
        unused = [each for _, names in imports(path) for each in names if not re.search(rf"\b{each}\b", code)]
        assert unused == [], path.name


def test_the_imports_run_one_way() -> None:
    """No module needs one that needs it; what lies the other way is told."""
    waiting = {path.name: {name for name, _ in imports(path)} for path in FOLDER.glob("*.js")}
    while free := [name for name, needs in waiting.items() if not needs & set(waiting)]:
        for name in free:
            del waiting[name]
    assert waiting == {}


def test_each_module_is_small() -> None:
    """One task each; at 350 lines it is two."""
    for path in FOLDER.glob("*.js"):
        assert len(path.read_text(encoding="utf-8").splitlines()) <= 350, path.name


def test_every_module_is_part_of_the_page() -> None:
    """Reached from the first one of a page, or the script before it."""
    reached, waiting = {"draft.js"}, ["bench.js", "preview.js"]
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting += [each for each, _ in imports(FOLDER / name)]
    assert reached == {path.name for path in FOLDER.glob("*.js")}


def test_no_module_declares_a_name_twice() -> None:
    """A browser reads none of such a module."""
    declared = re.compile(r"^(?:export )?(?:async )?(?:function|var) (\w+)", re.MULTILINE)
    for path in FOLDER.glob("*.js"):
        text = path.read_text(encoding="utf-8")
        names = [*declared.findall(text), *(each for _, own in imports(path) for each in own)]
        assert len(names) == len(set(names)), path.name

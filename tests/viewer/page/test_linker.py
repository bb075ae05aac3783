"""Modules in one script: order, plain text, and refusal of what one scope cannot hold."""

import pytest

from viewer.page.linker import SOURCES, linked


def laid(tmp_path, **modules):
    for name, text in modules.items():
        (tmp_path / f"{name}.js").write_text(text, encoding="utf-8")
    return linked(tmp_path / "main.js", tmp_path)


def test_each_module_stands_once_and_behind_what_it_needs(tmp_path):
    text = laid(
        tmp_path,
        main="import { a } from './a.js';\nimport { b } from './b.js';\nimport * as THREE from 'three';\na(b);\n",
        a="import { b } from './b.js';\n\nexport function a() {}\nexport const c = b;\n",
        b="export class b {}\nexport {};\n",
    )
    assert text == ("// b.js\nclass b {}\n// a.js\n\nfunction a() {}\nconst c = b;\n// main.js\na(b);\n")


@pytest.mark.parametrize(
    "line",
    [
        "import b from './b.js';", "import * as b from './b.js';", "import { b as c } from './b.js';",
        "import './b.js';", "import {\n  b,\n} from './b.js'", "export default 1;", "export { b };",
        "export * from './b.js';",
    ],
)  # fmt: skip
def test_what_one_scope_cannot_hold_is_refused(tmp_path, line):
    with pytest.raises(ValueError, match=r"main\.js: "):
        laid(tmp_path, main=f"{line}\n", b="export const b = 1;\n")


def test_a_circle_is_refused(tmp_path):
    with pytest.raises(ValueError, match="imports itself by way of main"):
        laid(tmp_path, main="import { b } from './b.js';\n", b="import { a } from './main.js';\n")


@pytest.mark.parametrize("line", ["const b = 2;", "async function b() {}", "export class b {}", "let b;"])
def test_two_modules_of_one_scope_declare_no_name_twice(tmp_path, line):
    with pytest.raises(ValueError, match=r"main\.js: b is declared in b\.js already"):
        laid(
            tmp_path, main=f"import {{ c }} from './b.js';\n{line}\n", b="export const c = 1;\nconst b = 1;\n"
        )
    assert laid(
        tmp_path, main="import { c } from './b.js';\n  const b = 2;\n", b="export const b = 1, c = 1;\n"
    )


def test_an_import_of_several_lines_is_one(tmp_path):
    text = laid(
        tmp_path, main="import {\n  b,\n  c,\n} from './b.js';\nb(c);\n", b="export const b = 1, c = 2;\n"
    )
    assert text == "// b.js\nconst b = 1, c = 2;\n// main.js\nb(c);\n"


def test_the_page_can_be_laid():
    assert linked(SOURCES / "main.js").count("// main.js\n") == 1

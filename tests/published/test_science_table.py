"""The README's table of science is the one that the values make."""

from science import BEGIN, END, README, section


def test_the_readme_tells_what_the_tests_check() -> None:
    text = README.read_text(encoding="utf-8")
    assert text.count(BEGIN) == text.count(END) == 1
    begin = text.index(BEGIN)
    assert text[begin : text.index(END) + len(END)] == section()

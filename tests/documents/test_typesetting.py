"""Setting pages again and again: numbers that a process has once are not used up."""

from concurrent.futures import ThreadPoolExecutor

import pytest
import typst

from service.documents import loading, typesetting

# dated, as the sheets are: a page without a date has the second in which it was set
PAGE = b'#set document(title: "Weir 7", date: datetime(year: 2000, month: 1, day: 1))\n#sys.inputs.given'


def test_a_thread_makes_one_compiler_for_all_its_pages(monkeypatch):
    """Each compiler takes one of a process's 65 535 file numbers for good: seen as `out of file ids` with one a page."""
    made = []
    real = typst.Compiler

    def counted(**given):
        made.append(real(**given))
        return made[-1]

    monkeypatch.setattr(typst, "Compiler", counted)
    with ThreadPoolExecutor(1) as thread:
        for number in range(300):
            thread.submit(typesetting.pdf, PAGE, lambda _, number=number: {"number": number}).result()
    assert len(made) == 1


def test_a_page_does_not_depend_on_the_pages_before_it():
    first = typesetting.pdf(PAGE, lambda _: {"number": 1})
    typesetting.pdf(PAGE, lambda _: {"number": 2})
    assert typesetting.pdf(PAGE, lambda _: {"number": 1}) == first


def test_a_compiler_that_panicked_is_not_used_again(monkeypatch):
    class Panic(BaseException):
        """What the typesetter raises when it panics is no `Exception`."""

    class Broken:
        def compile(self, **_):
            raise Panic

    def set_one():
        return typesetting.pdf(PAGE, lambda _: {"number": 1})

    with ThreadPoolExecutor(1) as thread:  # a thread has a compiler of its own
        monkeypatch.setattr(typst, "Compiler", lambda **_: Broken())
        with pytest.raises(Panic):
            thread.submit(set_one).result()
        monkeypatch.undo()
        assert thread.submit(set_one).result() == set_one()


def test_what_is_loaded_at_start_is_what_documents_use(monkeypatch):
    """After loading, a thread's first page neither reads fonts nor imports a library."""
    loading.load()
    monkeypatch.setattr(typst, "Fonts", None)
    with ThreadPoolExecutor(1) as thread:
        assert thread.submit(typesetting.pdf, PAGE, lambda _: {"number": 1}).result().startswith(b"%PDF")

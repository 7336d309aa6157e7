"""Each command says once what it takes; help, completion, pages and the fast path follow."""

from itertools import combinations

import pytest

from curedash.__main__ import main
from curedash.cli import check, lots, weigh
from curedash.cli.command import Command
from curedash.cli.completion import SCRIPTS
from curedash.cli.verbs import VERBS, command_of, help_of, parser_of, second_words

COMMANDS = [
    (verb, *second) for verb in VERBS for second in ([[s] for s in second_words(verb)] or [[]])
]


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_command_has_one_parser_under_its_own_name(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    made = parser_of(words)
    assert made.prog == f"curedash {' '.join(words)}"
    assert made.description
    assert all(option in help_of(words) for option in made.options())
    assert "--help" in made.options()
    assert main([*words, "--help"]) == 0
    assert capsys.readouterr().out == help_of(words)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_each_word_and_option_says_what_it_is(words: tuple[str, ...]) -> None:
    taken = parser_of(words)._actions
    assert [one.metavar or one.dest for one in taken if not (one.help or "").strip()] == []


@pytest.mark.parametrize("verb", VERBS)
def test_a_module_declares_its_command_or_several(verb: str) -> None:
    found = command_of(verb)
    several = {} if isinstance(found, Command) else found.commands
    assert [each.verb for each in several.values()] == [f"{verb} {second}" for second in several]
    assert isinstance(found, Command) != bool(several)


def test_what_an_option_and_a_word_may_be() -> None:
    assert parser_of(["label"]).values_of("--kind") == ["hang", "cure", "pack"]
    assert parser_of(["label"]).values_of("--size") == []
    assert parser_of(["label"]).values_of("--nothing") == []
    assert parser_of(["weigh"]).positionals() == ["lot", "weight"]
    assert parser_of(["completion"]).positionals() == ["shell"]
    assert set(SCRIPTS) == {"bash", "zsh", "fish"}


def words_with(flags: tuple[str, ...], *before: str) -> list[list[str]]:
    """Every choice of flags behind the words."""
    every = (some for n in range(len(flags) + 1) for some in combinations(flags, n))
    return [[*before, *(f"--{flag}" for flag in some)] for some in every]


@pytest.mark.parametrize(
    ("fast", "verb", "lines"),
    [
        (lots.fast, "lots", words_with(("json",))),
        (check.fast, "check", words_with(("json",))),
        (weigh.fast, "weigh", words_with(("net", "without-tare", "yes", "json"), "D1", "1", "kg")),
    ],
)
def test_the_fast_path_reads_what_the_parser_reads(fast, verb: str, lines: list[list[str]]) -> None:
    for argv in lines:
        quick = fast(argv)
        assert quick is not None, argv
        assert vars(quick).items() >= vars(parser_of([verb]).parse_args(argv)).items()
        assert fast([*argv, "--at", "today"]) is None

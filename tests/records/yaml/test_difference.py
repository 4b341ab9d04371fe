"""What a change does to a text, in lines for a person."""

from passport.records.yaml.difference import difference


def test_the_lines_that_go_and_come():
    """In their order, without empty ones; what stays is not shown."""
    assert difference("a: 1\nb: 2\n\nc: 3\n", "a: 1\nb: 4\nc: 3\nd: 5\n") == ["- b: 2", "+ b: 4", "+ d: 5"]
    assert difference("\ufeffa: 1\r\n", "a: 1\n") == []


def test_keys_and_secrets_are_not_shown():
    """Whoever looks over a shoulder learns no address."""
    assert difference("a: 1\n", "key: ABC\n  secret: DEF\na: 1\n") == []


def test_no_more_lines_than_are_wanted():
    """The rest is counted."""
    after = "".join(f"{n}: x\n" for n in range(9))
    assert difference("", after, 2) == ["+ 0: x", "+ 1: x", "… and 7 lines more"]

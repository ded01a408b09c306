"""Answers of the page: one answer a turn, each for its own prompt, none lost and none doubled."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

from assistant.messages import Expectation, Expects, Heard, Hypothesis, InputEnded, Prompt, Source, WentQuiet
from assistant.web.answers import Answer, Fate, PageListener

FIRST = Expectation(Expects.COMMAND, prompt=Prompt.read("caution:stands"))
SECOND = Expectation(Expects.COMMAND, prompt=Prompt.read("access:cover:left"))


def answer(identity: str, turn: int, words: str = "yes", prompt: Prompt = FIRST.prompt) -> Answer:
    return Answer(identity, turn, str(prompt), (Hypothesis(words),))


def hear(listener: PageListener, expectation: Expectation, one: Answer) -> tuple[Heard, Fate]:
    """Listen in a thread while an answer is offered."""
    listener.expect(expectation)
    with ThreadPoolExecutor(1) as pool:
        heard = pool.submit(listener.listen, expectation, 20.0)
        fate = listener.offer(one).result(20)
        fact = heard.result(20)
    assert isinstance(fact, Heard)
    return fact, fate


def test_an_answer_becomes_what_was_heard() -> None:
    """With its source, and its noise."""
    listener = PageListener(lambda: 7.0)
    turn = listener.expect(FIRST)
    fact, fate = hear(
        listener, FIRST, Answer("a-1", turn, str(FIRST.prompt), (Hypothesis("yes"), Hypothesis("yep")), 12.0)
    )
    assert fact == Heard(7.0, (Hypothesis("yes"), Hypothesis("yep")), Source.PAGE, 12.0)
    assert fate == Fate("taken", "yes")


def test_the_same_answer_twice_is_taken_once() -> None:
    """A screen that lost its line sends again and gets the same reply."""
    listener = PageListener(lambda: 0.0)
    one = answer("a-1", listener.expect(FIRST))
    _, fate = hear(listener, FIRST, one)
    assert listener.offer(one).result(1) == fate
    listener.expect(FIRST)
    assert listener.offer(one).result(1) == fate
    assert listener.listen(FIRST, 0.0) == WentQuiet(0.0)


def test_the_first_of_two_screens_wins_and_the_other_learns_it() -> None:
    """Whatever it said, it learns the words that were taken."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    hear(listener, FIRST, answer("a-1", turn, "yes"))
    assert listener.offer(answer("b-1", turn, "no")).result(1) == Fate("other", "yes")
    listener.expect(SECOND)
    assert listener.offer(answer("c-1", turn, "no")).result(1) == Fate("other", "yes")


def test_an_answer_counts_only_for_its_own_prompt() -> None:
    """Neither an earlier turn, nor a turn to come, nor another prompt's name."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    listener.expect(SECOND)
    for number, one in enumerate([answer("a", turn), answer("b", turn + 9), answer("c", turn + 1)]):
        assert listener.offer(Answer(f"late-{number}", one.turn, one.prompt, one.hypotheses)).result(1) == Fate(
            "late"
        )
    assert listener.listen(SECOND, 0.0) == WentQuiet(0.0)


def test_silence_keeps_the_turn() -> None:
    """After a reminder the same question stands: an answer on its way still counts."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    assert listener.listen(FIRST, 0.0) == WentQuiet(0.0)
    waiting = listener.offer(answer("a-1", turn))
    assert not waiting.done()
    assert listener.expect(FIRST) == turn
    assert isinstance(listener.listen(FIRST, 0.0), Heard)
    assert waiting.result(1).name == "taken"


def test_an_answer_between_two_prompts_is_late_and_not_lost_in_silence() -> None:
    """Offered after the silence, and then another question came."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    listener.listen(FIRST, 0.0)
    waiting = listener.offer(answer("a-1", turn))
    listener.expect(SECOND)
    assert listener.listen(SECOND, 0.0) == WentQuiet(0.0)
    assert waiting.result(1) == Fate("late")


def test_the_same_prompt_asked_again_after_an_answer_is_a_new_turn() -> None:
    """'Say that again, please': the answer before it does not count twice."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    hear(listener, FIRST, answer("a-1", turn, "mumble"))
    assert listener.expect(FIRST) == turn + 1


def test_it_does_not_go_quiet_while_somebody_speaks() -> None:
    """The time of silence begins when the speaking ends."""
    listener = PageListener(lambda: 0.0)
    listener.expect(FIRST)
    with ThreadPoolExecutor(1) as pool:
        with listener.speaking():
            heard = pool.submit(listener.listen, FIRST, 0.0)
            listener.offer(answer("other-turn", 99)).result(5)
            assert not heard.done()
        assert heard.result(20) == WentQuiet(0.0)


def test_closing_ends_the_wait_and_refuses_the_rest() -> None:
    """Whoever listens learns that the input ended."""
    listener = PageListener(lambda: 0.0)
    turn = listener.expect(FIRST)
    with ThreadPoolExecutor(1) as pool:
        heard = pool.submit(listener.listen, FIRST, None)
        listener.close()
        assert heard.result(20) == InputEnded(0.0)
    assert listener.offer(answer("a-1", turn)).result(1) == Fate("closed")
    listener.close()


def test_many_screens_at_once_give_one_answer_a_turn() -> None:
    """Forty turns, eight screens, every answer sent twice: one is taken each time and none is left undecided."""
    listener = PageListener(lambda: 0.0)
    taken: list[str] = []
    heard: list[str] = []
    lock = threading.Lock()

    def screen(name: int, turn: int, prompt: Prompt) -> None:
        one = Answer(f"{turn}-{name}", turn, str(prompt), (Hypothesis(f"{name}"),))
        for _ in range(2):
            fate = listener.offer(one).result(20)
        if fate.name == "taken":
            with lock:
                taken.append(one.id)

    with ThreadPoolExecutor(8) as pool:
        for number in range(40):
            expectation = Expectation(Expects.COMMAND, prompt=Prompt.read(f"fact:{number % 2}"))
            turn = listener.expect(expectation)
            screens = [pool.submit(screen, name, turn, expectation.prompt) for name in range(8)]
            fact = listener.listen(expectation, 20.0)
            assert isinstance(fact, Heard)
            heard.append(f"{turn}-{fact.hypotheses[0].words}")
            for one in screens:
                one.result(20)
    assert sorted(heard) == sorted(taken)
    assert len(heard) == 40

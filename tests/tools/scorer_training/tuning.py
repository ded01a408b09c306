"""The fitting itself: published weights in, ours out. Needs numpy, PyTorch and soundfile, nothing of the product."""

from __future__ import annotations

import argparse
import copy
import json
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import torch
from torch.nn import functional

from tests.tools.scorer_training import weights_file
from tests.tools.scorer_training.clips import NOISE, Clip, unpack, voices_of
from tests.tools.scorer_training.examples import Chooser, Example, Part
from tests.tools.scorer_training.network import Network, Size, parameters_of
from tests.tools.scorer_training.sounds import Sounds
from tests.tools.scorer_training.vocabulary import Rows

IGNORED = -100
_AT_A_TIME = 8
"""Batches whose examples are chosen together, so that each holds examples of like length."""
_TIMED = (10, 60, 61)
"""Steps whose parts are timed."""
_WARM_STEPS = 150
_KEPT = 0.999
"""Of the averaged weights at each step."""


@dataclass(frozen=True, slots=True)
class Plan:
    """How to train."""

    steps: int
    batch: int = 256
    rate: float = 4e-4
    seconds: float = 1e9
    """Training ends then, its rate brought down in time."""
    seed: int = 5
    corrupted: float = 0.1
    """Share of the pieces before, as they are given, that are replaced by others: what was said before must not be
    all that decides what comes next."""


def train(clips: Sequence[Clip], network: Network, rows: Rows, plan: Plan, device: str) -> Network:
    """Fit a network to clips; the averaged weights of the last steps."""
    torch.manual_seed(plan.seed)
    chooser, sounds = Chooser(clips, plan.seed), Sounds(clips, device, plan.seed)
    network = network.to(device).train()
    averaged = copy.deepcopy(network).eval()
    optimizer = torch.optim.AdamW(
        network.parameters(), lr=plan.rate, weight_decay=0.02, betas=(0.9, 0.98), fused=device == "cuda"
    )
    began, running = time.monotonic(), 0.0
    ready: list[list[Example]] = []
    for step in range(plan.steps):
        done = max(step / plan.steps, (time.monotonic() - began) / plan.seconds)
        if done >= 1:
            break
        for group in optimizer.param_groups:
            group["lr"] = plan.rate * min(1, (step + 1) / _WARM_STEPS) * (0.5 + 0.5 * math.cos(math.pi * done)) + 1e-7
        started = made = _now(device) if step in _TIMED else 0.0
        if not ready:
            ready = _batches(chooser, plan.batch)
        examples = ready.pop()
        given, wanted = text_of([one.words for one in examples], rows, device, plan.corrupted)
        with torch.no_grad():
            sound = sounds.of(examples)
        if step in _TIMED:
            made = _now(device)
        with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
            logits = network(sound, given)
        loss = functional.cross_entropy(logits.float().flatten(0, 1), wanted.flatten(), ignore_index=IGNORED)
        optimizer.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        optimizer.step()
        if step in _TIMED:
            print(
                f"  step {step}: sound {made - started:.3f} s, network {_now(device) - made:.3f} s, {sound.shape}",
                flush=True,
            )
        kept = min(_KEPT, (step + 1) / (step + 20))
        with torch.no_grad():
            torch._foreach_lerp_(list(averaged.parameters()), list(network.parameters()), 1 - kept)
        if step % 20 == 0:
            running = loss.item() if step == 0 else 0.8 * running + 0.2 * loss.item()
        if step % 200 == 0 or step in (20, 100):
            print(f"  step {step} loss {running:.3f} {time.monotonic() - began:.0f} s", flush=True)
    print(f"  {step + 1} steps of {plan.batch}, loss {running:.3f}, {time.monotonic() - began:.0f} s", flush=True)
    return averaged


def _now(device: str) -> float:
    """Seconds, once everything asked of the device is done."""
    if device == "cuda":
        torch.cuda.synchronize()
    return time.monotonic()


def _batches(chooser: Chooser, size: int) -> list[list[Example]]:
    """Some batches of like length, in an order by chance."""
    pool = sorted((chooser.one() for _ in range(size * _AT_A_TIME)), key=lambda one: one.length / one.speed)
    batches = [pool[start : start + size] for start in range(0, len(pool), size)]
    order = torch.randperm(len(batches)).tolist()
    return [batches[at] for at in order]


def text_of(
    texts: Sequence[str | None], rows: Rows, device: str, corrupted: float = 0.0
) -> tuple[torch.Tensor, torch.Tensor]:
    """Pieces as they are given and as they are wanted, each text begun, ended and filled up."""
    made = [[] if text is None else rows.of(text) for text in texts]
    longest = (max(map(len, made)) + 4) // 4 * 4  # few different lengths: a GPU plans for each anew
    given = torch.full((len(made), longest), rows.end)
    wanted = torch.full((len(made), longest), IGNORED)
    for at, text in enumerate(made):
        pieces = torch.tensor(text, dtype=torch.long)
        given[at, 0], given[at, 1 : len(text) + 1] = rows.start, pieces
        wanted[at, : len(text)], wanted[at, len(text)] = pieces, rows.end
    if corrupted:
        others = torch.randint(len(rows.domain) - 2, given.shape)
        given[:, 1:] = torch.where(torch.rand(given.shape) < corrupted, others, given)[:, 1:]
    return given.to(device), wanted.to(device)


@torch.no_grad()
def check(clips: Sequence[Clip], numbers: Sequence[int], network: Network, rows: Rows, device: str) -> str:
    """How likely chosen clips' own words are to a network, and how often it writes them by itself, in a line."""
    sounds = Sounds(clips, device, 99)
    told = []
    for name, ratio in (("quiet", 40.0), ("5 dB", 5.0), ("0 dB", 0.0)):
        likely = exact = 0.0
        for start in range(0, len(numbers), 60):
            chosen = numbers[start : start + 60]
            examples = [
                Example((Part(at, 0, len(clips[at].levels), 0),), clips[at].words, 1.0, len(clips[at].levels))
                for at in chosen
            ]
            given, wanted = text_of([one.words for one in examples], rows, device)
            logits = network(sounds.of(examples, ratio=ratio), given).float()
            loss = functional.cross_entropy(logits.transpose(1, 2), wanted, ignore_index=IGNORED, reduction="none")
            likely += loss.sum().item()
            right = (logits.argmax(-1) == wanted) | (wanted == IGNORED)
            exact += right.all(1).sum().item()
        told.append(f"{name}: {likely / len(numbers):.2f} nats, {100 * exact / len(numbers):.1f} % exact")
    return "; ".join(told)


def begin(path: Path) -> tuple[Network, Rows, bytes]:
    """The network to start from, cut to our pieces, and its rows."""
    arrays, meta, tokenizer, domain = weights_file.read(path)
    assert domain is not None
    words = {word: tuple(found) for word, found in meta["words"].items()}
    rows = Rows(domain, words, meta["start"], meta["end"], meta["no_answer"])
    network = Network(len(domain), Size(**meta.get("size", {})))
    network.load_state_dict(weights_file.to_state(arrays))
    return network, rows, tokenizer


def finish(path: Path, name: str, network: Network, rows: Rows, tokenizer: bytes) -> int:
    """Write the product's file; its size in bytes."""
    meta = {"format": 1, "name": name, "spelling": "words", "start": rows.start, "end": rows.end,
            "no_answer": rows.no_answer, "period": None}  # fmt: skip
    weights_file.write(path, weights_file.from_state(network.state_dict()), meta, tokenizer, rows.domain)
    return path.stat().st_size


def main(arguments: Sequence[str] | None = None) -> None:
    """Fit the network to packed clips."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("start", type=Path, help="the weights to begin with, as 'texts' wrote them")
    parser.add_argument("packs", type=Path, nargs="+", help="files of clips")
    parser.add_argument("--out", type=Path, required=True, help="the weights to write")
    parser.add_argument("--name", default="Moonshine tiny English, fine-tuned on shop readings")
    parser.add_argument("--without", default="", help="voices left out, by commas, to fit thresholds on")
    parser.add_argument("--steps", type=int, default=4000)
    parser.add_argument("--batch", type=int, default=256)
    parser.add_argument("--rate", type=float, default=4e-4)
    parser.add_argument("--seconds", type=float, default=1e9)
    given = parser.parse_args(arguments)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.set_float32_matmul_precision("high")
    clips = [clip for path in given.packs for clip in unpack(path)]
    without = set(filter(None, given.without.split(",")))
    training = [clip for clip in clips if without.isdisjoint(voices_of(clip))]
    network, rows, tokenizer = begin(given.start)
    seconds = sum(len(clip.levels) for clip in training) / 16000
    told = {
        "clips": len(training),
        "noises": sum(clip.source == NOISE for clip in training),
        "hours": round(seconds / 3600, 2),
        "rows": len(rows.domain),
        "numbers": parameters_of(network),
        "device": device,
    }
    print(json.dumps(told), flush=True)
    checked = [
        at for at, clip in enumerate(clips) if clip.source == "readings" and (not without or clip.voice in without)
    ][: 240 if device == "cuda" else 6]
    before = copy.deepcopy(network).to(device).eval()
    if checked:
        print("before:", check(clips, checked, before, rows, device), flush=True)
    trained = train(training, network, rows, Plan(given.steps, given.batch, given.rate, given.seconds), device)
    if checked:
        left = "voices left out" if without else "voices in training"
        print(f"after, {left}:", check(clips, checked, trained, rows, device), flush=True)
    size = finish(given.out, given.name, trained, rows, tokenizer)
    print(f"{given.out}: {size} bytes", flush=True)


if __name__ == "__main__":
    main()

"""Train the second scorer's weights.

The whole of it, on a machine with the engines and a GPU:

    python -m tests.tools.scorer_training all --corpus ../shared/speech --published DIR --out build/scorer

The same in steps, where the machine with the GPU has nothing but PyTorch and the engines: ``texts`` and ``record``
here, ``engines``, ``neural`` and ``tune`` there with the files that they wrote. ``neural`` is optional: without it
the other voices train alone.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
from pathlib import Path
from typing import Any

import numpy as np

from tests.tools.scorer_training import neural
from tests.tools.scorer_training.clips import Said

INSTALL = "apt-get install flite espeak-ng festival festvox-kallpc16k festvox-kdlpc16k festvox-us-slt-hts"
NEURAL_SECONDS = 240.0
"""How long the neural voices may speak."""
FOR_NEURAL = 0.86
"""Share of the lines that the neural voices say."""


def main() -> None:
    """Read the command line and do the step that it names."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.tools.scorer_training",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    steps = parser.add_subparsers(dest="step", required=True)
    for name, told in (
        ("all", "all of it"),
        ("texts", "choose what is said, and cut the published weights to its words"),
        ("record", "pack the recordings that train"),
        ("engines", "say a part of it by the engines"),
        ("neural", "say what is left to the neural voices"),
        ("tune", "fit the weights to all that was packed"),
    ):
        step = steps.add_parser(name, help=told)
        step.add_argument("--out", type=Path, required=True, help="folder of what the steps leave for one another")
        if name in ("all", "texts", "record"):
            step.add_argument("--corpus", type=Path, required=True, help="folder of the shared recordings")
        if name in ("all", "texts"):
            step.add_argument("--published", type=Path, required=True, help="folder of the published network's files")
            step.add_argument("--lines", type=int, default=36_000, help="how many lines are said")
            step.add_argument("--voices", type=Path, help="folder of the neural voices; none: the engines say all")
        if name in ("all", "neural"):
            step.add_argument("--network", type=Path, help="file of the neural synthesizer")
            step.add_argument("--device", default="", help="cuda: the neural voices speak by PyTorch on the GPU")
        if name in ("all", "tune"):
            step.add_argument("--seconds", type=float, default=900.0, help="how long is trained")
            step.add_argument("--batch", type=int, default=256)
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    if given.step in ("all", "texts"):
        _texts(given.corpus, given.out, given.lines, given.voices)
        _start(given.published, given.out)
    if given.step in ("all", "record"):
        _record(given.corpus, given.out)
    if given.step in ("all", "engines"):
        _engines(given.out)
    if given.step in ("all", "neural") and given.network is not None:
        neural.speak(
            given.out / "to_say.npz", given.network, given.out / "neural.npz", multiprocessing.cpu_count(),
            NEURAL_SECONDS, given.device,
        )  # fmt: skip
    if given.step in ("all", "tune"):
        _tune(given.out, given.seconds, given.batch)


def _tune(out: Path, seconds: float, batch: int) -> None:
    from tests.tools.scorer_training import tuning

    packs = [path for path in (out / "recorded.tar", out / "engines.npz", out / "neural.npz") if path.exists()]
    arguments = [str(out / "start.npz"), *map(str, packs), "--out", str(out / "scorer.npz")]
    tuning.main([*arguments, "--steps", "100000", "--seconds", str(seconds), "--batch", str(batch)])


def _texts(corpus: Path, out: Path, lines: int, voices: Path | None) -> None:
    from tests.tools.scorer_training.corpus import texts_aside
    from tests.tools.scorer_training.texts import all_lines, known_words

    made = all_lines(lines, texts_aside(corpus))
    for_neural = round(FOR_NEURAL * len(made))
    if voices is not None:
        said = neural.prepare(
            [(line.kind, line.words, line.aloud) for line in made[:for_neural]], voices, out / "to_say.npz"
        )
        print(f"{said} lines for the neural voices in {out / 'to_say.npz'}")
    rest = made[for_neural:] if voices is not None else made
    words = known_words(made)
    listed = {"words": words, "engines": [[line.kind, line.words, line.aloud] for line in rest]}
    (out / "texts.json").write_text(json.dumps(listed, indent=0), encoding="utf-8")
    print(f"{len(rest)} lines for the engines and {len(words)} words in {out / 'texts.json'}")


def _start(published: Path, out: Path) -> None:
    """The published weights, cut to the pieces of our words: what training begins with."""
    from assistant.asr.network.published import published_weights
    from assistant.asr.network.tokenizer import Tokenizer
    from assistant.asr.network.weights import Matrix
    from tests.tools.scorer_training import vocabulary

    weights = published_weights(published, "")
    words = json.loads((out / "texts.json").read_text(encoding="utf-8"))["words"]
    rows = vocabulary.rows_of(words, Tokenizer(weights.pieces).encode)
    arrays: dict[str, Any] = {}
    for name, array in weights.arrays.items():
        if isinstance(array, Matrix):
            arrays |= {name: array.levels, f"{name}:s": array.scale, f"{name}:z": array.zero}
        else:
            arrays[name] = array
    meta = {"words": rows.words, "start": rows.start, "end": rows.end, "no_answer": rows.no_answer}
    kept: dict[str, Any] = vocabulary.cut_to(arrays, rows)
    kept["meta"] = np.frombuffer(json.dumps(meta).encode(), dtype=np.uint8)
    kept["tokenizer"] = np.frombuffer(weights.pieces, dtype=np.uint8)
    np.savez_compressed(out / "start.npz", domain=rows.domain, **kept)
    print(f"{len(rows.domain)} rows, weights to begin with in {out / 'start.npz'}")


def _record(corpus: Path, out: Path) -> None:
    from tests.tools.scorer_training import corpus as shared
    from tests.tools.scorer_training.clips import pack

    clips = [*shared.recorded(corpus), *shared.people(corpus), *shared.noises(corpus)]
    shared.check_apart(clips, corpus)
    print(f"recordings: {len(clips)} {pack(clips, out / 'recorded.tar')}")


def _engines(out: Path) -> None:
    from tests.tools.scorer_training.clips import keep
    from tests.tools.scorer_training.engines import missing, speak_all

    lacking = missing()
    if lacking:
        raise SystemExit(f"Not installed: {', '.join(lacking)}. Install: {INSTALL}")
    lines = [Said(*row) for row in json.loads((out / "texts.json").read_text(encoding="utf-8"))["engines"]]
    said = speak_all(lines, multiprocessing.cpu_count())
    print(f"engines: {len(said)} {keep(said, out / 'engines.npz')}")


if __name__ == "__main__":
    main()

"""An utterance in clauses, each with its role: which one answers, and why the others do not."""

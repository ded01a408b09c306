"""Intents learned from sentences that people said: the pieces of a sentence, the classifier, and its sayings."""

"""Training of the second scorer's weights: what is said, who says it, in which noise, and the fitting itself.

``python -m tests.tools.scorer_training --help`` tells the steps. What only speaks or trains needs programs and
packages that the product does not: flite, espeak-ng and festival, PyTorch.
"""

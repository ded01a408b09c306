"""What belongs to hearing: phrases to listen for, which of several hypotheses was meant, and when one is whole."""

"""Words to exact values and back."""

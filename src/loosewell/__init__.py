"""From bench readings to the arrow that fits a wooden bow and its archer."""

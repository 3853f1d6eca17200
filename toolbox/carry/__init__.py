"""The carrying engine: mass and balance of the packed box, pit bags, what can stay at home."""

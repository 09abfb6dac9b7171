"""Paper for a class: what a worksheet asks, and how its versions differ."""

"""Paper for a class: the bars that a worksheet asks, and its versions."""

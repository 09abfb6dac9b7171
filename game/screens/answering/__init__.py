"""How a bar is answered on the page: its beats, its tiles, its keys and where the focus goes."""

#!/bin/sh
# Puts the Drumlin of this folder into your menu and on your path, or takes it out again: add-to-menu.sh --remove
# Only links and a menu entry are made, below ~/.local; nothing else of the system is touched.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
share=${XDG_DATA_HOME:-$HOME/.local/share}
entry=$share/applications/drumlin.desktop

if [ "${1:-}" = --remove ]; then
    rm -f "$entry" "$HOME/.local/bin/drumlin" "$share/man/man1/drumlin.1" \
        "$share/bash-completion/completions/drumlin"
    echo "Drumlin is out of the menu. This folder and your records are still there."
    exit 0
fi
mkdir -p "$share/applications" "$share/man/man1" "$share/bash-completion/completions" "$HOME/.local/bin"
# A desktop entry wants whole paths, in quotes for the sake of blanks in them.
sed -e "s|^Exec=.*|Exec=\"$here/drumlin\"|" -e "s|^Icon=.*|Icon=$here/drumlin.svg|" "$here/drumlin.desktop" >"$entry"
ln -sf "$here/drumlin" "$HOME/.local/bin/drumlin"
ln -sf "$here/drumlin.1" "$share/man/man1/drumlin.1"
ln -sf "$here/drumlin.bash" "$share/bash-completion/completions/drumlin"
echo "Drumlin is in the menu. Keep this folder where it is: $here"

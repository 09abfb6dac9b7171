#!/bin/sh
# Puts the Drumlin of this folder into your menu and on your path, or takes it out again: add-to-menu.sh --remove
# Only links and a menu entry are made, below ~/.local; nothing else of the system is touched.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
share=${XDG_DATA_HOME:-$HOME/.local/share}
entry=$share/applications/drumlin.desktop
zsh_folder=$share/zsh/site-functions

# Each name of this folder, and where a link to it is wanted.
links() {
    "$1" drumlin "$HOME/.local/bin/drumlin"
    "$1" drumlin.1 "$share/man/man1/drumlin.1"
    "$1" drumlin.bash "$share/bash-completion/completions/drumlin"
    "$1" _drumlin "$zsh_folder/_drumlin"
}

# Whether a place is free, or has a link to such a folder as this one: another program's file is left alone.
is_ours() {
    [ ! -e "$1" ] || { [ -L "$1" ] && [ -e "$(dirname -- "$(readlink -- "$1")")/add-to-menu.sh" ]; }
}

link() {
    if is_ours "$2"; then
        mkdir -p -- "$(dirname -- "$2")"
        ln -sf -- "$here/$1" "$2"
    else
        echo "Left as it is, for it is not of such a folder: $2"
    fi
}

unlink_ours() {
    if is_ours "$2"; then rm -f -- "$2"; fi
}

if [ "${1:-}" = --remove ]; then
    rm -f -- "$entry"
    links unlink_ours
    echo "Drumlin is out of the menu. This folder and your records are still there."
    exit 0
fi
links link
mkdir -p -- "$share/applications"
# A path in quotes, as a desktop entry wants it: what means something there stands behind a backslash, itself doubled.
icon=$(printf %s "$here" | sed -e 's/\\/\\\\/g')
quoted=$(printf %s "$icon" | sed -e 's/\\\\/\\\\\\\\/g' -e 's/[`"$]/\\\\&/g' -e 's/%/%%/g')
while IFS= read -r line; do
    case $line in
        Exec=*) printf 'Exec="%s/drumlin"\n' "$quoted" ;;
        Icon=*) printf 'Icon=%s/drumlin.svg\n' "$icon" ;;
        *) printf '%s\n' "$line" ;;
    esac
done <"$here/drumlin.desktop" >"$entry"
echo "Drumlin is in the menu. Keep this folder where it is: $here"
case ":${PATH:-}:" in
    *":$HOME/.local/bin:"*) ;;
    *) echo "To start it as drumlin in a terminal, put $HOME/.local/bin on your PATH." ;;
esac
case ${SHELL:-} in
    *zsh) echo "For completion in zsh, write into ~/.zshrc before compinit: fpath=($zsh_folder \$fpath)" ;;
esac

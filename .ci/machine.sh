# Sourced by the scripts of this folder: find or fetch what the machine lacks.
# shellcheck shell=bash

say() { printf '\n== %s\n' "$*" >&2; }

stop() {
    printf '\nstopped: %s\n' "$1" >&2
    [ "$#" -gt 1 ] && printf 'to mend it: %s\n' "$2" >&2
    exit 1
}

# Three tries: a package index that stumbles once should not fail a whole run.
try_thrice() {
    local turn
    for turn in 1 2 3; do
        "$@" && return 0
        [ "$turn" = 3 ] || { printf 'try %s failed; once more in a moment\n' "$turn" >&2; sleep $((turn * 5)); }
    done
    return 1
}

as_root() {
    if [ "$(id -u)" = 0 ]; then
        "$@"
    elif [ -t 0 ]; then
        sudo "$@"
    else
        sudo -n "$@"
    fi
}

can_install() {
    command -v apt-get >/dev/null || return 1
    [ "$(id -u)" = 0 ] && return 0
    command -v sudo >/dev/null || return 1
    [ -t 0 ] || sudo -n true 2>/dev/null
}

apt_get() {
    as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y \
        -o DPkg::Lock::Timeout=300 -o Acquire::Retries=3 "$@" >&2
}

install_packages() {
    can_install || return 1
    say "installing with apt: $*"
    apt_get update || printf 'apt update was not clean; trying with the lists at hand\n' >&2
    try_thrice apt_get install --no-install-recommends "$@"
}

# present PACKAGE: is what the package would bring already on this machine, wherever it came from?
present() {
    case "$1" in
        libportaudio2) has_library 'libportaudio.so.2' ;;
        libasound2-plugins) has_file '/usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so' ;;
        festvox-kallpc16k) has_file '/usr/share/festival/voices/english/kal_diphone' ;;
        festival) command -v text2wave >/dev/null ;;
        systemd) command -v systemd-analyze >/dev/null ;;
        iproute2) command -v ip >/dev/null ;;
        poppler-utils) command -v pdftotext >/dev/null && command -v pdftoppm >/dev/null ;;
        fonts-dejavu-core) has_file '/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf' ;;
        *) command -v "$1" >/dev/null ;;
    esac
}

has_library() { has_file "/usr/lib/*/$1" || has_file "/usr/lib/$1" || has_file "/usr/local/lib/$1"; }

has_file() { compgen -G "$1" >/dev/null; }

missing_of() {
    local package
    for package in "$@"; do
        present "$package" || printf '%s\n' "$package"
    done
}

# Everything named must be there when this returns.
require_packages() {
    local missing
    mapfile -t missing < <(missing_of "$@")
    [ "${#missing[@]}" = 0 ] && return 0
    install_packages "${missing[@]}" || stop \
        "this machine lacks ${missing[*]}, and apt could not be used to install them" \
        "as root: apt-get install ${missing[*]}"
}

new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

with_venv() {
    "$1" -c 'import venv, ensurepip' >/dev/null 2>&1
}

# The first Python that is new enough and passes the test named; those for which every library has
# a ready-built wheel come first.  Each candidate is run, not only found: a version manager leaves
# names on the path that start nothing.
first_python() {
    local name
    for name in python3.13 python3.12 python3.11 python3 python3.14; do
        if command -v "$name" >/dev/null && new_enough "$name" && "$@" "$name"; then
            command -v "$name"
            return 0
        fi
    done
    return 1
}

venv_package_of() {
    "$1" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])'
}

# Sets PYTHON to an interpreter of at least 3.11 that can make virtual environments.
find_python() {
    PYTHON=$(first_python with_venv) && return 0
    local bare
    if bare=$(first_python true); then
        install_packages "$(venv_package_of "$bare")" || install_packages python3-venv || stop \
            "$bare cannot make virtual environments, and apt could not be used to add that" \
            "as root: apt-get install $(venv_package_of "$bare")"
    else
        install_packages python3 python3-venv || stop \
            "no Python 3.11 or newer was found, and apt could not be used to install one" \
            "install Python 3.11 or newer, with its venv module"
        first_python with_venv >/dev/null || install_packages python3.11 python3.11-venv || true
    fi
    PYTHON=$(first_python with_venv) || stop \
        "no Python 3.11 or newer that can make virtual environments was found" \
        "install Python 3.11 or newer, with its venv module"
}

# make_venv FOLDER: a virtual environment that works, made anew only when the old one does not.
make_venv() {
    new_enough "$1/bin/python" && "$1/bin/python" -m pip --version >/dev/null 2>&1 && return 0
    find_python
    say "making $1 with $PYTHON"
    "$PYTHON" -m venv --clear "$1" || stop "the virtual environment $1 could not be made"
}

# Where pocketsphinx has no ready-built wheel (Python 3.14; 3.12 on Arm), pip compiles it.
must_compile() {
    "$1" -c 'import platform, sys
arm_on_312 = sys.version_info[:2] == (3, 12) and platform.machine() != "x86_64"
sys.exit(not (sys.version_info >= (3, 14) or arm_on_312))'
}

has_headers() {
    "$1" -c 'import os, sysconfig
raise SystemExit(not os.path.exists(os.path.join(sysconfig.get_path("include"), "Python.h")))'
}

dev_package_of() {
    "$1" -c 'import sys; print("python%d.%d-dev" % sys.version_info[:2])'
}

prepare_to_compile() {
    must_compile "$1" || return 0
    command -v cc >/dev/null && command -v c++ >/dev/null && has_headers "$1" && return 0
    install_packages build-essential "$(dev_package_of "$1")" || stop \
        "for this Python, pocketsphinx has to be compiled, and apt could not install a compiler" \
        "use Python 3.11 or 3.13, or as root: apt-get install build-essential $(dev_package_of "$1")"
}

pip_install() {
    local venv="$1"
    shift
    prepare_to_compile "$venv/bin/python"
    say "pip install $*"
    try_thrice "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --retries 5 "$@" ||
        stop "pip could not install $*" \
            "read its message above; if it is about a connection, run this again where a package index is reached"
}

# What the tests need: the voices that speak to the ears, the virtual sound card, the terminal that
# types for us; the browser that prints the records, with a face to print in, and what reads the
# print.  Then their commands are on the path.
prepare_tests() {
    require_packages espeak-ng flite festival festvox-kallpc16k sox pulseaudio libasound2-plugins \
        libportaudio2 chromium fonts-dejavu-core poppler-utils tmux git strace systemd
    make_venv .venv-test
    pip_install .venv-test --editable '.[test]'
    export PATH="$PWD/.venv-test/bin:$PATH"
}

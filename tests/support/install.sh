# Sourced by samples/demo and tests/run (bash). Installs Debian packages, and only those that are missing.

packages_to_build=(
    g++ cmake ninja-build pkg-config
    portaudio19-dev libsndfile1-dev libavformat-dev libavcodec-dev libavutil-dev
    libkissfft-dev libtomlplusplus-dev libcli11-dev libsqlite3-dev libboost-math-dev
    libimgui-dev libglfw3-dev libstb-dev libgl-dev
)

# Catch2 runs the tests and the JSON library reads what the program wrote; the others are references
# (SciPy), a microphone without hardware (PulseAudio), a screen without hardware (Xvfb),
# makers of clips in every format (ffmpeg, sox), a browser and a parser for the pages, and real
# recordings to be quiet about.
packages_to_test=(
    catch2 nlohmann-json3-dev python3 python3-numpy python3-scipy
    pulseaudio pulseaudio-utils libasound2-plugins
    ffmpeg sox libsox-fmt-all flac
    klettres-data sonic-pi-samples alsa-utils
    xvfb xdotool imagemagick libgl1-mesa-dri python3-xlib
    chromium fonts-dejavu-core python3-html5lib
)

# A command line that becomes root where it has to; empty for root itself. Status 1: there is no way.
become_root() {
    if [ "$(id -u)" -eq 0 ]; then return 0; fi
    if command -v sudo >/dev/null 2>&1; then echo sudo; return 0; fi
    return 1
}

list_missing() {
    local installed
    installed=$(dpkg-query -W -f='${Package} ${db:Status-Status}\n' "$@" 2>/dev/null | sed -n 's/ installed$//p')
    printf '%s\n' "$@" | grep -vxF -f <(echo "$installed") || true
}

# install_missing PACKAGE…: says what it installs, does nothing when everything is there. Where packages
# cannot be installed it says which are needed and goes on: CMake tells what it does not find.
install_missing() {
    if ! command -v dpkg-query >/dev/null 2>&1 || ! command -v apt-get >/dev/null 2>&1; then
        echo "This is not a Debian-like system, so nothing is installed. Needed, by their Debian names:"
        echo "    $*" | fold -s -w 96
        echo "Install what your system calls these with its package manager. Trying to build with what is there."
        return 0
    fi
    local missing
    mapfile -t missing < <(list_missing "$@")
    if [ "${#missing[@]}" -eq 0 ]; then return 0; fi
    echo "Installing ${#missing[@]} Debian packages that are missing:"
    echo "    ${missing[*]}" | fold -s -w 96
    local as_root
    if ! as_root=$(become_root); then
        echo "Neither root nor sudo: run 'apt-get install ${missing[*]}' as root, then this again." >&2
        return 1
    fi
    local log
    log=$(mktemp)
    if ! $as_root apt-get -o DPkg::Lock::Timeout=300 update >"$log" 2>&1 ||
       ! $as_root env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 install -y \
            --no-install-recommends "${missing[@]}" >>"$log" 2>&1; then
        tail -n 20 "$log" >&2
        echo "Installing failed; the whole log is $log. Mend what it says, then run this again." >&2
        return 1
    fi
    rm -f "$log"
}

# Sourced by samples/demo and tests/run (bash). Installs Debian packages, and only those that are missing.

packages_to_build=(
    g++ cmake ninja-build pkg-config
    portaudio19-dev libsndfile1-dev libavformat-dev libavcodec-dev libavutil-dev
    libkissfft-dev libtomlplusplus-dev libcli11-dev libsqlite3-dev libboost-math-dev nlohmann-json3-dev
    libimgui-dev libglfw3-dev libstb-dev libgl-dev
)

# Catch2 runs the tests; the others are references
# (SciPy), a microphone without hardware (PulseAudio), a screen without hardware (Xvfb),
# makers of clips in every format (ffmpeg, sox), a browser and a parser for the pages, what reads
# the man page, and real recordings to be quiet about.
packages_to_test=(
    catch2 python3 python3-numpy python3-scipy
    pulseaudio pulseaudio-utils libasound2-plugins
    ffmpeg sox libsox-fmt-all flac
    klettres-data sonic-pi-samples alsa-utils locales
    xvfb xdotool imagemagick libgl1-mesa-dri python3-xlib
    chromium fonts-dejavu-core python3-html5lib
    man-db groff-base
)

# A command line that becomes root where it has to; empty for root itself. Status 1: there is no way.
become_root() {
    if [ "$(id -u)" -eq 0 ]; then return 0; fi
    if command -v sudo >/dev/null 2>&1; then echo sudo; return 0; fi
    return 1
}

# list_missing PACKAGE…: those that are not installed, one a line.
list_missing() {
    local known status=0
    known=$(dpkg-query -W -f='${Package} ${db:Status-Status}\n' "$@" 2>/dev/null) || status=$?
    # 1: one of them was never heard of, as all of them on a new machine. Anything else is trouble.
    if [ "$status" -gt 1 ]; then
        echo "dpkg-query ended with status $status: the list of installed packages cannot be read." >&2
        return "$status"
    fi
    local package
    for package in "$@"; do
        grep -qxF "$package installed" <<<"$known" || echo "$package"
    done
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
    local list missing
    list=$(list_missing "$@") || return 1
    if [ -z "$list" ]; then return 0; fi
    mapfile -t missing <<<"$list"
    echo "Installing ${#missing[@]} Debian packages that are missing:"
    echo "    ${missing[*]}" | fold -s -w 96
    local as_root
    if ! as_root=$(become_root); then
        echo "Neither root nor sudo, so nothing can be installed. Run as root, then this again:" >&2
        echo "    apt-get update && apt-get install ${missing[*]}" >&2
        return 1
    fi
    local log status=0
    log=$(mktemp) || return 1
    # A list that could not be fetched ends apt-get update with a warning and status 0; what it lacks shows below.
    $as_root apt-get -o DPkg::Lock::Timeout=300 update >"$log" 2>&1 &&
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 install -y \
            --no-install-recommends "${missing[@]}" >>"$log" 2>&1 || status=$?
    list=$(list_missing "${missing[@]}") || return 1
    if [ "$status" -eq 0 ] && [ -z "$list" ]; then
        rm -f "$log"
        return 0
    fi
    grep -E '^(E|W|Err|sudo)[: ]' "$log" >&2 || tail -n 20 "$log" >&2
    {
        echo "Installing failed (apt-get's status: $status; its whole log: $log). Not installed:"
        sed 's/^/    /' <<<"${list:-none: but apt-get says that it failed}"
        local unknown
        unknown=$(unknown_to_apt $list)
        if [ -n "$unknown" ]; then
            echo "Of these your package sources have never heard of:" $unknown
            echo "Check /etc/apt/sources.list.d for Debian 12's main, and the network, then run this again."
        fi
        local sudo=${as_root:+$as_root }
        echo "To see it for yourself: ${sudo}apt-get update && ${sudo}apt-get install" ${list:-"${missing[@]}"}
    } >&2
    return 1
}

# unknown_to_apt PACKAGE…: those for which the package lists of this machine hold nothing to install.
unknown_to_apt() {
    local package policy
    for package in "$@"; do
        policy=$(apt-cache policy "$package" 2>/dev/null) || true
        grep -q 'Candidate: [^(]' <<<"$policy" || echo "$package"
    done
}

# Sourced by samples/demo (bash): a build that says beforehand how long it will take, and then how far it is.

# Processor time of building the program from nothing, without tests and without ccache, as tests/bench/build_cost found
# it on 28 November 2026 on two cores that had nothing else to do (590 s before the files of a folder were compiled
# together). The figure stands here and nowhere else.
build_processor_seconds=252

# in_words SECONDS: "40 s", "5 min"
in_words() {
    if [ "$1" -lt 90 ]; then echo "$1 s"; else echo "$((($1 + 30) / 60)) min"; fi
}

# children_seconds FILE: processor time of what this shell has waited for; FILE is written over.
children_seconds() {
    local own children part seconds=0
    times >"$1" # a subshell would tell of its own children
    { read -r own; read -r children; } <"$1"
    for part in $children; do # 1m2.345s, with a comma in some languages
        part=${part%s}
        part=${part%%[.,]*}
        seconds=$((seconds + 60 * ${part%m*} + 10#${part#*m}))
    done
    spent=$seconds
}

# tell_tenths: a line for each tenth of the steps that ninja reports as "@DONE/TOTAL@ what"; other lines pass.
tell_tenths() {
    local line done_now total tenth told=0
    while IFS= read -r line; do
        case "$line" in
            "ninja: Entering directory"*) ;;
            @[0-9]*/[0-9]*@*)
                line=${line#@}
                done_now=${line%%/*}
                total=${line#*/}
                total=${total%%@*}
                tenth=$((10 * done_now / total))
                if [ "$tenth" -gt "$told" ]; then
                    told=$tenth
                    echo "  $((10 * tenth)) % built after $(in_words $SECONDS)$(
                        [ "$tenth" -ge 10 ] || echo ", about $(in_words $((SECONDS * (total - done_now) / done_now))) to go")"
                fi
                ;;
            *) printf '%s\n' "$line" ;;
        esac
    done
}

# build_with_progress FOLDER TARGET: builds what is not up to date and says nothing where everything is. Status 1: failed.
build_with_progress() {
    local left all cores parallel seconds before status=0 times_file="$1/times.txt" spent
    # Where CMake has to plan anew it does so now. The steps are counted in a copy of the plan: of build.ninja itself a
    # dry run may see nothing but that CMake looks for new files each time.
    ninja -C "$1" build.ninja >/dev/null 2>&1 || true
    cp "$1/build.ninja" "$1/plan.ninja" || return 1
    left=$(NINJA_STATUS='@%f@ ' ninja -C "$1" -f plan.ninja -n "$2") || { printf '%s\n' "$left" >&2; return 1; }
    rm -f "$1/plan.ninja"
    left=$(grep -c '^@' <<<"$left") || return 0
    all=$(ninja -C "$1" -t commands "$2" | grep -c .) || return 1
    cores=$(nproc)
    parallel=$((cores < left ? cores : left))
    seconds=$((build_processor_seconds * left / (all > left ? all : left) / parallel))
    echo "Building $2: $left step$([ "$left" -eq 1 ] || echo s), about $(in_words $((seconds > 10 ? seconds : 10))) on the $cores cores here ..."
    children_seconds "$times_file"
    before=$spent
    SECONDS=0
    if [ -t 1 ]; then
        NINJA_STATUS='  %f of %t  ' ninja -C "$1" "$2" || status=1
    else
        NINJA_STATUS='@%f/%t@ ' ninja -C "$1" "$2" 2>&1 | tell_tenths
        [ "${PIPESTATUS[0]}" -eq 0 ] || status=1
    fi
    children_seconds "$times_file"
    [ "$status" -ne 0 ] || echo "Built in $(in_words $SECONDS), with $((spent - before)) s of processor time."
    return $status
}

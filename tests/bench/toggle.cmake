# The toggle plan's trial against what it must be: exact, near the limit, quick.
add_executable(toggle_trials toggle_trials.cpp)
target_link_libraries(toggle_trials PRIVATE tattletone_flags toggled_sound)

# How far the tone finder is from what physics allows.
if(TARGET tattletone_tones AND TARGET tattletone_scenes)
    add_executable(frequency_bound frequency_bound.cpp)
    target_link_libraries(frequency_bound PRIVATE tattletone_flags tattletone_tones tattletone_scenes)
    add_executable(detection detection.cpp ../scenes/detection_theory.cpp)
    target_link_libraries(detection PRIVATE tattletone_flags tattletone_tones tattletone_scenes)
endif()

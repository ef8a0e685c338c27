#pragma once

namespace tattletone::tones {

/// The numbers of the gates that keep tones from being taken for the board's. The defaults are what
/// the program uses. Above each stands what tests/bench/rejection_cost printed of it: of a board's
/// lines that pass with its gate out of work, those that it costs (simulated + real), and of the
/// foreign tones that pass then, those that it keeps out (real + simulated); then both counts of
/// the gate alone, where no other judges, and of other values. DEVELOPERS.md, "What the gates
/// cost".
struct RejectionLimits {
    // Its level follows that of the room's sounds.
    // rejection_cost follow_frames: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.73 % (7 of 894 + 0 of
    //   60, in 7); alone: 0+0, 114+1; 4: 0+0, 7+0; 9: 0+0, 7+0
    int follow_frames = 6;  ///< fewest short frames, 0.075 s apart; shorter clips: not measured
    // rejection_cost follow_evidence_db: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.73 % (7 of 894 +
    //   0 of 60, in 7); alone: 0+0, 114+1; 0: 0+9, 48+0; 6.3: 0+0, 22+0; 12.6: 0+0, 3+0
    double follow_evidence_db = 9.0;  ///< dB over its threshold, least of a steady line
    // rejection_cost follow_depth_db: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.73 % (7 of 894 + 0
    //   of 60, in 7); alone: 0+0, 114+1; 14: 0+0, 9+0; 28: 0+0, 5+0; 1e+09: 0+0, 2+0
    double follow_depth_db = 20.0;  ///< dB; levels farther below the tone's mean count as this
    // rejection_cost follow_spread_db: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.73 % (7 of 894 + 0
    //   of 60, in 7); alone: 0+0, 114+1; 0: 1+0, 8+0; 2.1: 0+0, 7+0; 4.2: 0+0, 7+0
    double follow_spread_db = 3.0;  ///< dB, least standard deviation of both levels over time
    // rejection_cost follow_correlation: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.73 % (7 of 894 +
    //   0 of 60, in 7); alone: 0+0, 114+1; 0.6: 0+0, 34+0; 0.85: 0+0, 1+0
    double follow_correlation = 0.75;  ///< of the two levels in dB; above it the tone follows

    // There for a part only.
    // rejection_cost least_present: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.84 % (6 of 892 + 2 of
    //   62, in 6); alone: 2+0, 36+30; 0.28: 0+0, 2+0; 0.56: 6+0, 20+10
    double least_present = 0.4;  ///< share of a segment in which it is there
    // rejection_cost least_present_long: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0 % (0 of 886 + 0
    //   of 60, in 0); alone: 0+0, 0+0; 0.07: 0+0, 0+0; 0.14: 0+0, 0+0
    double least_present_long = 0.1;  ///< of a recording over 20 s; three such here: not measured
    // rejection_cost most_unsteadiness: costs 0.18 % (1 of 1057 + 1 of 37, in 2 recordings), keeps out 2.6 % (18 of 904
    //   + 7 of 70, in 18); alone: 1+1, 73+15; 0.315: 7+1, 26+16; 0.63: 1+0, 7+2
    double most_unsteadiness = 0.45;  ///< standard deviation of its amplitude over the mean

    // Events: most of the line is in a part of the time.
    // rejection_cost event_rest_share: costs 0 % (0 of 269 + 0 of 10, in 0 recordings), keeps out 0.5 % (1 of 189 + 0
    //   of 11, in 1); 0.07: 0+0, 1+0; 0.14: 0+0, 1+0
    double event_rest_share = 0.1;  ///< least share of its power outside the loudest quarter
    // rejection_cost event_mean_share: costs 1.4 % (4 of 272 + 0 of 10, in 1 recordings), keeps out 16 % (37 of 224 + 2
    //   of 13, in 21); 0.245: 4+0, 28+2; 0.49: 4+0, 42+2
    double event_mean_share = 0.35;  ///< least share of its mean amplitude without the best quarter
    // rejection_cost quiet_mean_share: costs 0 % (0 of 269 + 0 of 10, in 0 recordings), keeps out 6.6 % (8 of 194 + 6
    //   of 17, in 8); 0.245: 0+0, 7+4; 0.49: 0+0, 18+6
    double quiet_mean_share = 0.35;  ///< the same for lines of the quiet moments

    // A path through noise, no line (`long`: in frames of 0.7 s, `short`: of 0.15 s).
    // rejection_cost path_level: costs 0 % (0 of 1055 + 0 of 36, in 0 recordings), keeps out 1.1 % (10 of 890 + 0 of
    //   59, in 7); 0.56: 0+0, 10+0; 1.12: 0+0, 15+0
    double path_level = 0.8;  ///< least power over the noise of a bin: noise's paths gather peaks
    // rejection_cost path_roughness_long: costs 0.28 % (3 of 1054 + 0 of 36, in 2 recordings), keeps out 21 % (212 of
    //   1033 + 26 of 82, in 121); 0.7: 4+0, 216+26; 1.4: 3+0, 208+26
    double path_roughness_long = 1.0;  ///< bins, most root mean square about the smoothed path
    // rejection_cost path_roughness_short: costs 0.28 % (3 of 1054 + 0 of 36, in 2 recordings), keeps out 21 % (212 of
    //   1033 + 26 of 82, in 121); 0.525: 3+0, 228+26; 1.05: 0+0, 189+25
    double path_roughness_short = 0.75;  ///< bins, the same for short frames
    // rejection_cost path_beside_long: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 1.5 % (12 of 895 + 2
    //   of 60, in 11); 0.98: 1+0, 25+2; 1.96: 0+0, 6+0
    double path_beside_long = 1.4;  ///< most whitened power beside the line, 1 in smooth noise
    // rejection_cost path_beside_short: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 1.5 % (12 of 895 +
    //   2 of 60, in 11); 1.26: 0+0, 21+2; 2.52: 0+0, 8+2
    double path_beside_short = 1.8;  ///< the same for short frames
    // rejection_cost path_clear_peak: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 1.5 % (12 of 895 + 2
    //   of 60, in 11); 14: 0+0, 12+2; 28: 0+0, 12+2; 1e+09: 0+0, 19+2
    double path_clear_peak = 20.0;  ///< or the line is so many times what is beside it
    // rejection_cost path_quarter: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0.74 % (5 of 885 + 2 of
    //   61, in 7); 0.42: 0+0, 2+2; 0.84: 4+0, 24+2
    double path_quarter = 0.6;  ///< least excess in the weakest quarter over the mean excess
    // rejection_cost path_steadiness: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 0 % (0 of 886 + 0 of
    //   60, in 0); 0.28: 0+0, 0+0; 0.56: 0+0, 0+0
    double path_steadiness = 0.4;  ///< least steadiness of its strength, 0 to 1
    // rejection_cost path_seconds: costs 0.092 % (0 of 1056 + 1 of 36, in 1 recordings), keeps out 16 % (180 of 1036 +
    //   0 of 60, in 89); 1.54: 0+0, 84+0; 3.08: 0+1, 234+0
    double path_seconds = 2.2;  ///< s, least; vowels, notes and cries are shorter

    // One of a family of moving lines, as of a voice, a fan or an engine.
    // rejection_cost moves_turns: costs 1.1 % (12 of 1068 + 0 of 36, in 2 recordings), keeps out 16 % (170 of 1056 + 11
    //   of 71, in 41); 0.105: 13+0, 211+25; 0.21: 12+0, 156+8
    double moves_turns = 0.15;  ///< turns; a steady line moves if its sd times the segment is more
    // rejection_cost family_below_hz: costs 2.1 % (23 of 1079 + 0 of 36, in 7 recordings), keeps out 23 % (160 of 1046
    //   + 121 of 181, in 100); alone: 26+0, 602+328; 4200: 16+0, 136+121; 8400: 32+0, 185+121
    double family_below_hz = 6000.0;  ///< Hz, of the line that is judged
    // rejection_cost family_reach_hz: costs 2.1 % (23 of 1079 + 0 of 36, in 7 recordings), keeps out 23 % (160 of 1046
    //   + 121 of 181, in 100); alone: 26+0, 602+328; 630: 8+0, 155+121; 1260: 24+0, 175+121
    double family_reach_hz = 900.0;  ///< Hz, within which other moving lines count
    // rejection_cost family_others: costs 2.1 % (23 of 1079 + 0 of 36, in 7 recordings), keeps out 23 % (160 of 1046 +
    //   121 of 181, in 100); alone: 26+0, 602+328; 1: 30+0, 192+122; 3: 10+0, 123+121; 1e+09: 3+0, 37+120
    int family_others = 2;  ///< so many others make it a family
    // rejection_cost family_order: costs 2.1 % (23 of 1079 + 0 of 36, in 7 recordings), keeps out 23 % (160 of 1046 +
    //   121 of 181, in 100); alone: 26+0, 602+328; 2: 22+0, 146+101; 8: 22+0, 157+117; 17: 24+0, 167+121
    int family_order = 12;  ///< or a multiple, of an order below this, of a low moving line
    // rejection_cost family_slack: costs 2.1 % (23 of 1079 + 0 of 36, in 7 recordings), keeps out 23 % (160 of 1046 +
    //   121 of 181, in 100); alone: 26+0, 602+328; 0: 23+0, 157+119; 0.0035: 23+0, 160+121; 0.007: 24+0, 160+121
    double family_slack = 0.005;  ///< share of its frequency by which it may miss the multiple

    // Rumble.
    // rejection_cost hum_below_hz: costs 0.091 % (1 of 1057 + 0 of 36, in 1 recordings), keeps out 8.2 % (71 of 957 +
    //   13 of 73, in 70); alone: 1+0, 175+182; 105: 0+0, 59+4; 210: 1+0, 92+26
    double hum_below_hz = 150.0;  ///< Hz; any machine nearby may hum below
    // rejection_cost rumble_below_hz: costs 0.091 % (1 of 1057 + 0 of 36, in 1 recordings), keeps out 10 % (66 of 952 +
    //   43 of 103, in 79); alone: 0+0, 292+137; 350: 0+0, 59+37; 700: 3+0, 69+46
    double rumble_below_hz = 500.0;  ///< Hz; a line that moves below is a machine's or the ground's

    // One of a pair of sidebands of a stronger line.
    // rejection_cost sideband_reach_hz: costs 0.091 % (0 of 1056 + 1 of 37, in 1 recordings), keeps out 0.53 % (5 of
    //   891 + 0 of 60, in 4); alone: 2+5, 85+12; 280: 0+1, 5+0; 560: 2+1, 5+0
    double sideband_reach_hz = 400.0;  ///< Hz on either side of the carrier
    // rejection_cost sideband_below_db: costs 0.091 % (0 of 1056 + 1 of 37, in 1 recordings), keeps out 0.53 % (5 of
    //   891 + 0 of 60, in 4); alone: 2+5, 85+12; 14: 5+1, 11+0; 28: 0+1, 3+0
    double sideband_below_db = 20.0;  ///< dB below the carrier, least
    // rejection_cost sideband_sds: costs 0.091 % (0 of 1056 + 1 of 37, in 1 recordings), keeps out 0.53 % (5 of 891 + 0
    //   of 60, in 4); alone: 2+5, 85+12; 0: 0+1, 3+0; 2.8: 0+1, 5+0; 5.6: 0+1, 5+0
    double sideband_sds = 4.0;  ///< standard deviations by which the pair's distances may differ
    // rejection_cost sideband_slack_hz: costs 0.091 % (0 of 1056 + 1 of 37, in 1 recordings), keeps out 0.53 % (5 of
    //   891 + 0 of 60, in 4); alone: 2+5, 85+12; 0: 0+1, 5+0; 0.035: 0+1, 5+0; 0.07: 0+1, 5+0
    double sideband_slack_hz = 0.05;  ///< Hz by which they may differ besides

    // Weak, among lines that notes or voices make.
    // rejection_cost note_reach: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 + 8 of
    //   68, in 43); alone: 67+6, 238+150; 1.14: 48+2, 51+8; 1.28: 71+4, 96+9
    double note_reach = 1.2;  ///< ratio of frequencies within which an event's line counts
    // rejection_cost note_events: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 + 8 of
    //   68, in 43); alone: 67+6, 238+150; 2: 64+2, 93+9; 5: 38+2, 46+8
    int note_events = 3;  ///< fewest lines of events within the reach
    // rejection_cost note_own_hz: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 + 8 of
    //   68, in 43); alone: 67+6, 238+150; 0: 60+3, 75+8; 7: 60+2, 74+8; 14: 60+2, 74+8
    double note_own_hz = 10.0;  ///< Hz; nearer ones may be a moving line's own pieces
    // rejection_cost note_own_wanders: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 +
    //   8 of 68, in 43); alone: 67+6, 238+150; 0: 60+2, 74+8; 2.1: 60+2, 74+8; 4.2: 60+2, 74+8
    double note_own_wanders = 3.0;  ///< times its wander; so may those within this
    // rejection_cost note_steady_db: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 + 8
    //   of 68, in 43); alone: 67+6, 238+150; 9.1: 51+2, 66+6; 18.2: 64+2, 77+11
    double note_steady_db = 13.0;  ///< dB over its threshold; above, a steady line is believed
    // rejection_cost note_moving_db: costs 5.4 % (60 of 1116 + 2 of 38, in 15 recordings), keeps out 8 % (74 of 960 + 8
    //   of 68, in 43); alone: 67+6, 238+150; 2.94: 51+2, 69+8; 5.88: 84+2, 76+8
    double note_moving_db = 4.2;  ///< dB over its threshold; above, a moving line is believed

    // One of a dense cluster of lines, or of a fine comb.
    // rejection_cost crowd_hz: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 6.6 % (62 of 948 + 5 of 65,
    //   in 17); alone: 0+0, 811+12; 52.5: 0+0, 59+1; 105: 0+0, 70+9
    double crowd_hz = 75.0;  ///< Hz on either side
    // rejection_cost crowd_lines: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 6.6 % (62 of 948 + 5 of
    //   65, in 17); alone: 0+0, 811+12; 3: 6+0, 144+12; 7: 0+0, 23+0
    int crowd_lines = 5;  ///< lines, itself counted; more are a cluster
    // rejection_cost comb_reach_hz: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 3 % (29 of 915 + 0 of
    //   60, in 4); alone: 0+0, 651+0; 490: 0+0, 25+0; 980: 0+0, 29+0
    double comb_reach_hz = 700.0;  ///< Hz on either side
    // rejection_cost comb_spacing_hz: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 3 % (29 of 915 + 0 of
    //   60, in 4); alone: 0+0, 651+0; 17.5: 0+0, 26+0; 35: 0+0, 29+0
    double comb_spacing_hz = 25.0;  ///< Hz; neighbours nearer than this are teeth
    // rejection_cost comb_pairs: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 3 % (29 of 915 + 0 of 60,
    //   in 4); alone: 0+0, 651+0; 7: 0+0, 48+0; 14: 0+0, 25+0
    int comb_pairs = 10;  ///< fewest pairs of teeth within the reach
    // rejection_cost comb_clear_db: costs 0 % (0 of 1056 + 0 of 36, in 0 recordings), keeps out 3 % (29 of 915 + 0 of
    //   60, in 4); alone: 0+0, 651+0; 5.6: 0+0, 29+0; 11.2: 0+0, 29+0; 1e+09: 0+0, 29+0
    double comb_clear_db = 8.0;  ///< dB over the comb's middle evidence; above, it is no tooth

    // A multiple of the mains, or a sideband at multiples of it.
    // rejection_cost mains_share: costs 1.1 % (12 of 1068 + 0 of 36, in 2 recordings), keeps out 47 % (25 of 911 + 804
    //   of 864, in 123); alone: 27+0, 103+1133; 0.007: 12+0, 22+801; 0.014: 12+0, 32+807
    double mains_share = 0.004;  ///< share of 50 or 60 Hz by which the grid may be off: 0.2 Hz of 50 Hz
    // rejection_cost mains_multiple: costs 1.1 % (12 of 1068 + 0 of 36, in 2 recordings), keeps out 47 % (25 of 911 +
    //   804 of 864, in 123); alone: 27+0, 103+1133; 28: 10+0, 23+768; 56: 167+0, 68+802
    int mains_multiple = 40;  ///< highest multiple of the mains
    // rejection_cost mains_sds: costs 1.1 % (12 of 1068 + 0 of 36, in 2 recordings), keeps out 47 % (25 of 911 + 804 of
    //   864, in 123); alone: 27+0, 103+1133; 2.8: 12+0, 22+799; 5.6: 12+0, 26+809
    double mains_sds = 4.0;  ///< standard deviations by which a multiple may be off
    // rejection_cost mains_first_multiples: costs 1.1 % (12 of 1068 + 0 of 36, in 2 recordings), keeps out 47 % (25 of
    //   911 + 804 of 864, in 123); alone: 27+0, 103+1133; 4.9: 12+0, 17+801; 9.8: 15+0, 33+804
    double mains_first_multiples = 7.0;  ///< times the mains; the first member is below
    // rejection_cost mains_carrier_hz: costs 21 % (288 of 1344 + 0 of 36, in 18 recordings), keeps out 14 % (151 of
    //   1037 + 0 of 60, in 28); alone: 303+0, 668+0; 2100: 308+0, 155+1; 4200: 223+0, 138+0
    double mains_carrier_hz = 3000.0;  ///< Hz; a lower line has no sidebands of the mains
    // rejection_cost mains_sidebands: costs 21 % (288 of 1344 + 0 of 36, in 18 recordings), keeps out 14 % (151 of 1037
    //   + 0 of 60, in 28); alone: 303+0, 668+0; 2: 406+0, 191+0; 5: 154+0, 87+0
    int mains_sidebands = 3;  ///< fewest lines at multiples of the mains from a line
    // rejection_cost mains_sideband_db: costs 21 % (288 of 1344 + 0 of 36, in 18 recordings), keeps out 14 % (151 of
    //   1037 + 0 of 60, in 28); alone: 303+0, 668+0; 0: 386+0, 213+0; 2.1: 312+0, 160+0; 4.2: 258+0, 135+0
    double mains_sideband_db = 3.0;  ///< dB below the carrier, least
    // rejection_cost mains_sideband_slack: costs 21 % (288 of 1344 + 0 of 36, in 18 recordings), keeps out 14 % (151 of
    //   1037 + 0 of 60, in 28); alone: 303+0, 668+0; 0: 28+0, 33+0; 0.0014: 275+0, 120+0; 0.0028: 289+0, 157+0
    double mains_sideband_slack = 0.002;  ///< share of the distance by which it may miss

    // Faint peaks, nearly all of them noise's, that are not offered to the match.
    // rejection_cost faint_mains_multiple: costs 0 % (0 of 206 + 0 of 25, in 0 recordings), keeps out 0.44 % (319 of
    //   32104 + 143 of 73631, in 96); 56: 0+0, 223+81; 112: 0+1, 522+265
    int faint_mains_multiple = 80;  ///< highest multiple of the mains
    // rejection_cost faint_mains_hz: costs 0 % (0 of 206 + 0 of 25, in 0 recordings), keeps out 0.44 % (319 of 32104 +
    //   143 of 73631, in 96); 0: 0+0, 318+102; 0.0007: 0+0, 318+124; 0.0014: 0+0, 320+173
    double faint_mains_hz = 1e-3;  ///< Hz times the order, by which it may miss the multiple
    // rejection_cost faint_comb_reach_hz: costs 12 % (32 of 238 + 0 of 25, in 6 recordings), keeps out 0.22 % (118 of
    //   31903 + 119 of 73610, in 79); 1400: 21+0, 89+57; 2800: 39+0, 161+247
    double faint_comb_reach_hz = 2000.0;  ///< Hz; tones this near are teeth of a mains comb
    // rejection_cost faint_apart_hz: costs 0.86 % (2 of 208 + 0 of 25, in 1 recordings), keeps out 0.95 % (469 of 32253
    //   + 546 of 74035, in 163); 0.7: 2+0, 441+528; 1.4: 2+0, 490+578
    double faint_apart_hz = 1.0;  ///< Hz; nearer a tone it is that tone's own
    // rejection_cost faint_note_reach: costs 25 % (20 of 75 + 0 of 6, in 3 recordings), keeps out 12 % (1113 of 9035 +
    //   2573 of 20823, in 67); 1.14: 15+0, 934+2246; 1.28: 25+1, 1276+2961
    double faint_note_reach = 1.2;  ///< ratio of frequencies within which an event's line counts

    // Also in the recording of the room: simulated ones only.
    // rejection_cost room_sds: costs 0.31 % (1 of 318 + 0 of 0, in 1 recordings), keeps out 46 % (0 of 0 + 58 of 126,
    //   in 19); 2.1: 1+0, 0+58; 4.2: 1+0, 0+58
    double room_sds = 3.0;  ///< standard deviations by which two frequencies of one line may differ
    // rejection_cost room_drift_ppm: costs 0.31 % (1 of 318 + 0 of 0, in 1 recordings), keeps out 46 % (0 of 0 + 58 of
    //   126, in 19); 3: 1+0, 0+58; 10.5: 1+0, 0+58; 21: 1+0, 0+58
    double room_drift_ppm = 15.0;  ///< ppm by which they may: card and crystal between takes
    // rejection_cost room_gap: costs 0.31 % (1 of 318 + 0 of 0, in 1 recordings), keeps out 46 % (0 of 0 + 58 of 126,
    //   in 19); 0: 1+0, 0+53; 0.0014: 1+0, 0+57; 0.0028: 1+0, 0+59
    double room_gap = 0.002;  ///< share of the frequency by which paths of one source may miss
    // rejection_cost room_machines_hz: costs 0.31 % (1 of 318 + 0 of 0, in 1 recordings), keeps out 46 % (0 of 0 + 58
    //   of 126, in 19); 0: 1+0, 0+53; 1400: 1+0, 0+57; 2800: 1+0, 0+58
    double room_machines_hz = 2000.0;  ///< Hz; below, what is not the board's keeps no frequency
    // rejection_cost room_louder_db: costs 0.31 % (1 of 318 + 0 of 0, in 1 recordings), keeps out 46 % (0 of 0 + 58 of
    //   126, in 19); 7: 1+0, 0+57; 14: 1+0, 0+61; 1e+09: 1+0, 0+62
    double room_louder_db = 10.0;  ///< dB louder with the board on, more than a microphone moves

    // Also there, but moved since. Simulated rooms do not move: what these keep out tells score_neighbours --room.
    // rejection_cost room_moves_share: costs 0 % (0 of 317 + 0 of 0, in 0 recordings), keeps out 0 % (0 of 0 + 0 of 62,
    //   in 0); 0.035: 0+0, 0+0; 0.07: 0+0, 0+0
    double room_moves_share = 0.05;  ///< ln of the ratio, most for several lines that move alike
    // rejection_cost room_moves_alone: costs 0 % (0 of 317 + 0 of 0, in 0 recordings), keeps out 0 % (0 of 0 + 0 of 62,
    //   in 0); 0: 0+0, 0+0; 0.021: 0+0, 0+0; 0.042: 0+0, 0+0
    double room_moves_alone = 0.03;  ///< the same for a line alone
    // rejection_cost room_alike: costs 0 % (0 of 317 + 0 of 0, in 0 recordings), keeps out 0 % (0 of 0 + 0 of 62, in
    //   0); 0: 0+0, 0+0; 0.00014: 0+0, 0+0; 0.00028: 0+0, 0+0
    double room_alike = 2e-4;  ///< least uncertainty of that ratio

    // Outside what the recording holds.
    // rejection_cost cliff_db: costs 0 % (0 of 269 + 0 of 10, in 0 recordings), keeps out 0 % (0 of 186 + 0 of 11, in
    //   0); 10.5: 0+0, 1+0; 21: 0+0, 0+0
    double cliff_db = 15.0;  ///< dB by which the quiet moments fall where the band ends
};

}  // namespace tattletone::tones
